"""Static files gathered for the web server, again only when one of them has changed."""

import hashlib

import django
from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command

# Files of the packages that no page asks for: unminified twins, extensions, the browsable API.
NOT_NEEDED = ["rest_framework", "*-src*", "ext", "htmx-4*", "htmax-*", "htmx-2.js"]


def gather_static_files():
    """Run collectstatic into STATIC_ROOT unless nothing has changed since the last time."""
    mark = settings.STATIC_ROOT / ".gathered"
    now = _fingerprint()
    if mark.exists() and mark.read_text(encoding="utf-8") == now:
        return
    call_command("collectstatic", interactive=False, verbosity=0, ignore_patterns=NOT_NEEDED)
    mark.write_text(now, encoding="utf-8")


def _fingerprint():
    digest = hashlib.sha256(f"{django.VERSION} {settings.STORAGES['staticfiles']} {NOT_NEEDED}".encode())
    for finder in get_finders():
        for path, storage in finder.list(NOT_NEEDED):
            about = storage.path(path)
            digest.update(f"{about} {storage.size(path)} {storage.get_modified_time(path)}\n".encode())
    return digest.hexdigest()
