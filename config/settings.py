"""One settings file. A fresh clone runs on the defaults; DEVELOPERS.md lists every variable."""

import secrets
from pathlib import Path

import dj_database_url
from django.core.exceptions import ImproperlyConfigured

from config import env

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env.text("SWARDBOOK_DATA", str(BASE_DIR / "data"))).expanduser().absolute()
SECRET_KEY_FILE = DATA_DIR / "secret_key"

DEBUG = env.flag("SWARDBOOK_DEBUG")


def _secret_key():
    """The configured key, the key that `start` generated, or one that lives as long as this process."""
    key = env.text("SWARDBOOK_SECRET_KEY")
    if key is None and SECRET_KEY_FILE.exists():
        key = SECRET_KEY_FILE.read_text(encoding="utf-8").strip()
    if key is None:
        key = secrets.token_urlsafe(50)
    if len(key) < 40:
        raise ImproperlyConfigured(
            f"SWARDBOOK_SECRET_KEY has {len(key)} characters; at least 40 random ones are accepted."
        )
    return key


SECRET_KEY = _secret_key()

ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *env.words("SWARDBOOK_HOSTS")]
CSRF_TRUSTED_ORIGINS = env.words("SWARDBOOK_ORIGINS")
# Behind a reverse proxy that ends TLS and sets X-Forwarded-Proto.
BEHIND_TLS = env.flag("SWARDBOOK_TLS")
if BEHIND_TLS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
# This server's own HTTPS, told by `start`. It sends no Strict-Transport-Security: that would hold for every port of the
# name, localhost too, and where a phone has lost the authority no page could say so.
HTTPS = env.choice("SWARDBOOK_HTTPS", "OFF", ["OFF", "PRIVATE", "OWN"])
AUTHORITY_DIR = DATA_DIR / "tls"
ADDRESSES = env.words("SWARDBOOK_ADDRESSES")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = BEHIND_TLS or HTTPS != "OFF"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "js_lib_leaflet",
    "django_htmx",
    "rest_framework",
    "drf_spectacular",
    "config",
    "plots",
    "blends",
    "fieldlog",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.middleware.BrowserRules",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "config.middleware.SignInRequired",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "config.middleware.NoNulInAddresses",
    "config.middleware.PlainErrors",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "plots.context.current_property",
            ],
            "builtins": ["config.templatetags.figures"],
        },
    }
]

DATABASES = {
    "default": dj_database_url.parse(
        env.url(
            "DATABASE_URL",
            f"sqlite:///{DATA_DIR / 'swardbook.sqlite3'}",
            ["sqlite", "postgres", "postgresql"],
        ),
        conn_max_age=60,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # Web server, worker and timer share the file: writers queue for the lock instead of failing,
    # and readers never wait for a writer.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 30,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "plots.User"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator", "CommonPasswordValidator")
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"

LANGUAGE_CODE = "en-us"
USE_I18N = False
USE_TZ = True
TIME_ZONE = env.time_zone("SWARDBOOK_TIME_ZONE", "UTC")

# Pictures of the ground for properties that name none themselves; none unless it is set.
IMAGERY_URL = env.tile_address("SWARDBOOK_IMAGERY_URL")
IMAGERY_CREDIT = env.text("SWARDBOOK_IMAGERY_CREDIT", "")
IMAGERY_ZOOM = env.integer("SWARDBOOK_IMAGERY_ZOOM", 16, least=1, most=22)

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_ROOT = DATA_DIR / "uploads"  # never served by path: views hand files out through access.py
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "config.storage.StaticStorage"},
}
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o700
FILE_UPLOAD_HANDLERS = [
    "plots.uploads.BoundedUpload",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]
DATA_UPLOAD_MAX_MEMORY_SIZE = 5_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 60_000  # a season page of 5,000 plots posts a few fields a plot

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "plots.api_auth.TokenAuthentication",
        "plots.api_auth.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["plots.uploads.SafeJSONParser", "rest_framework.parsers.MultiPartParser"],
    "DEFAULT_PAGINATION_CLASS": "config.api.Pages",
    "PAGE_SIZE": 200,
    "DEFAULT_METADATA_CLASS": None,  # the schema says what there is
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "config.errors.api_exception_handler",
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Swardbook",
    "VERSION": "1",
    "OAS_VERSION": "3.0.3",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.IsAuthenticated"],
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_NAME_OVERRIDES": {
        "FeatureEnum": ["Feature"],
        "WorkKindEnum": "fieldlog.models.work.WorkItem.Kind",
        "WorkStateEnum": "fieldlog.models.work.WorkItem.State",
        "ProposalStateEnum": "fieldlog.models.work.Proposal.State",
        "FeatureCollectionEnum": ["FeatureCollection"],
        "JobStateEnum": "plots.models.Job.State",
        "ImportStateEnum": "plots.models.BoundaryImport.State",
        "PictureStateEnum": "plots.models.GroundPicture.State",
        "WalkStateEnum": "plots.models.Walk.State",
        "PriceListStateEnum": "blends.models.PriceList.State",
        "BlendKindEnum": "blends.models.Blend.Kind",
        "SeasonKindEnum": "blends.models.Season.Kind",
        "PlantingMethodEnum": "blends.models.Planting.Method",
        "TerminationMethodEnum": "blends.models.Termination.Method",
        "TerminationStageEnum": "blends.models.Termination.Stage",
    },
}

# Background work. The folder broker needs nothing installed; Redis or RabbitMQ by URL in production.
BROKER_DIR = DATA_DIR / "broker"
CELERY_BROKER_URL = env.url(
    "SWARDBOOK_BROKER_URL",
    "filesystem://localhost",
    ["filesystem", "redis", "rediss", "redis+socket", "amqp", "amqps"],
)
if CELERY_BROKER_URL.startswith("filesystem"):
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(BROKER_DIR / "messages"),
        "data_folder_out": str(BROKER_DIR / "messages"),
        "control_folder": str(BROKER_DIR / "control"),
        "polling_interval": 0.2,
    }
    CELERY_WORKER_ENABLE_REMOTE_CONTROL = False  # its messages would pile up for workers long gone
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_ALWAYS_EAGER = env.flag("SWARDBOOK_EAGER_TASKS")
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = "UTC"
# How often whatever is still stale or unfinished is taken up again.
SWEEP_SECONDS = env.integer("SWARDBOOK_SWEEP_SECONDS", 30, least=1, most=3600)
# A running job that has not said for this long that it is alive is taken for dead and run again.
JOB_SILENT_SECONDS = env.integer("SWARDBOOK_JOB_SILENT_SECONDS", 60, least=1, most=3600)

LOG_LEVEL = env.choice("SWARDBOOK_LOG_LEVEL", "WARNING", ["DEBUG", "INFO", "WARNING", "ERROR", "CRITICAL"])
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": LOG_LEVEL},
}
