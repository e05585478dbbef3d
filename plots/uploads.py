"""Bounds on what a request may send, applied while it arrives."""

from django.core.files.uploadhandler import FileUploadHandler
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from plots.formats.limits import MAX_FILE_BYTES


class BoundedUpload(FileUploadHandler):
    """Stands before the handlers that keep a file, and swallows what is beyond the largest boundary file.

    A file that was cut is larger than the limit by one chunk, so the service still sees that it is too
    large and says so.
    """

    def receive_data_chunk(self, raw_data, start):
        return raw_data if start <= MAX_FILE_BYTES else None

    def file_complete(self, file_size):
        return None


class SafeJSONParser(JSONParser):
    """JSON that is nested no deeper than Python can follow. (Its size is bounded by Django.)"""

    def parse(self, stream, media_type=None, parser_context=None):
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            raise ParseError("The JSON is nested too deeply to be read.") from error
