"""The standing cast, and a property to stand on."""

import os

import hypothesis
import pytest
from shapely.geometry import MultiPolygon, box

from plots.models import Boundary, Membership, Plot, Property, User

# Playwright's synchronous driver runs an event loop in the test's thread; the ORM is safe there.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

# A deadline for one example would measure how busy the machine is.
hypothesis.settings.register_profile("swardbook", deadline=None)
hypothesis.settings.load_profile("swardbook")


@pytest.fixture(autouse=True)
def _plain_settings(settings, tmp_path):
    """Uploads in a folder of the test's own, tasks in this process, static files without a manifest."""
    settings.MEDIA_ROOT = tmp_path / "uploads"
    settings.STATIC_ROOT = tmp_path / "static"
    settings.STATIC_ROOT.mkdir()
    settings.CELERY_TASK_ALWAYS_EAGER = True
    settings.CELERY_TASK_EAGER_PROPAGATES = True
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.STORAGES = settings.STORAGES | {
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    }
    from config.celery import app

    before = app.conf.task_always_eager, app.conf.task_eager_propagates
    app.conf.update(task_always_eager=True, task_eager_propagates=True)
    yield
    app.conf.update(task_always_eager=before[0], task_eager_propagates=before[1])


def person(name, property=None, role=None):
    user = User.objects.create_user(username=name, password="correct horse battery")
    if property is not None:
        Membership.objects.create(user=user, property=property, role=role)
    return user


@pytest.fixture
def farm(db):
    """The property under test."""
    return Property.objects.create(name="Tally Hollow", slug="tally-hollow")


@pytest.fixture
def elsewhere(db):
    """A different property, which only the stranger belongs to."""
    return Property.objects.create(name="Far Side", slug="far-side")


@pytest.fixture
def owner(farm):
    return person("owner", farm, Membership.Role.OWNER)


@pytest.fixture
def manager(farm):
    return person("manager", farm, Membership.Role.MANAGER)


@pytest.fixture
def recorder(farm):
    return person("recorder", farm, Membership.Role.RECORDER)


@pytest.fixture
def viewer(farm):
    return person("viewer", farm, Membership.Role.VIEWER)


@pytest.fixture
def stranger(elsewhere):
    return person("stranger", elsewhere, Membership.Role.OWNER)


@pytest.fixture
def make_plot(farm):
    """A plot of the property (or of another) with a square boundary and a given, measured acreage."""

    def make(name="North Bench", *, acres=2.0, property=None, lon=-92.0, lat=38.0, geometry=None):
        plot = Plot.objects.create(property=property or farm, name=name)
        if acres is not None or geometry is not None:
            outline = geometry or MultiPolygon([box(lon, lat, lon + 0.001, lat + 0.001)])
            plot.boundary = Boundary.objects.create(
                plot=plot,
                geometry=outline,
                how=Boundary.How.IMPORTED,
                area_m2=None if acres is None else acres * 4046.8564224,
                perimeter_m=None if acres is None else 400.0,
            )
            plot.save()
        return plot

    return make
