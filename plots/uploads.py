"""Bounds on what a request may send, applied while it arrives."""

import io
import json
import shutil
import tempfile

from django.conf import settings
from django.core.files.uploadhandler import FileUploadHandler
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from plots.formats.limits import MAX_FILE_BYTES
from plots.pictures.limits import SPARE_DISK_BYTES


def takes_files(most_bytes):
    """Mark a view with the largest file that it takes from people who are signed in."""

    def mark(view):
        view.most_file_bytes = most_bytes
        return view

    return mark


class BoundedUpload(FileUploadHandler):
    """Stands before the handlers that keep a file, and swallows what is beyond the largest that the view takes.

    A file that was cut is larger than the limit by one chunk, so the service still sees that it is too
    large and says so. What the disk has no room for is swallowed whole, and
    `request.lacks_room` is set.
    """

    def new_file(self, *args, **kwargs):
        super().new_file(*args, **kwargs)
        self._most_bytes = self._limit()
        wanted = min(int(self.request.META.get("CONTENT_LENGTH") or 0), self._most_bytes)
        free = shutil.disk_usage(settings.FILE_UPLOAD_TEMP_DIR or tempfile.gettempdir()).free
        if wanted > MAX_FILE_BYTES and free < wanted + SPARE_DISK_BYTES:
            self.request.lacks_room = True
            self._most_bytes = -1

    def receive_data_chunk(self, raw_data, start):
        return raw_data if start <= self._most_bytes else None

    def file_complete(self, file_size):
        return None

    def _limit(self):
        match = self.request.resolver_match
        view = getattr(match.func, "view_class", match.func) if match else None
        user = getattr(self.request, "user", None)
        if user is None or not user.is_authenticated:
            return MAX_FILE_BYTES
        return getattr(view, "most_file_bytes", MAX_FILE_BYTES)


DEEPEST = 40
"""Lists and objects within each other that a body may have; GeoJSON has ten at most."""
_TOO_DEEP = f"The JSON is nested too deeply to be read; at most {DEEPEST} levels are accepted."


class SafeJSONParser(JSONParser):
    """JSON that is nested no deeper than its readers can follow, and of whole characters. (Django bounds its size.)"""

    def parse(self, stream, media_type=None, parser_context=None):
        raw = stream.read()
        try:
            found = super().parse(io.BytesIO(raw), media_type, parser_context)
            if b"\\ud" in raw.lower():  # an escaped half of a pair; alone it is no text that can be written
                json.dumps(found, ensure_ascii=False).encode()
        except RecursionError as error:
            raise ParseError(_TOO_DEEP) from error
        except UnicodeEncodeError as error:
            raise ParseError(
                "The JSON has half of a surrogate pair; accepted is text of whole characters."
            ) from error
        if raw.count(b"[") + raw.count(b"{") > DEEPEST and is_too_deep(found):
            raise ParseError(_TOO_DEEP)
        return found


def is_too_deep(found):
    """Whether more than DEEPEST lists and objects lie within each other."""
    layer = [[found]]
    for _ in range(DEEPEST + 1):
        layer = [
            inner
            for outer in layer
            for inner in (outer.values() if isinstance(outer, dict) else outer)
            if isinstance(inner, (list, dict))
        ]
        if not layer:
            return False
    return True
