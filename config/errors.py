"""The few errors that services raise, and the one shape in which the API and the pages say them.

Every error carries one sentence that names the thing, the value and what is accepted.
"""

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig, ValidationError
from django.http import Http404
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.views import exception_handler, set_rollback

LONGEST_TEXT = 600


class SwardbookError(Exception):
    """Something a person can mend. `fields` maps a field's name to the sentences about it; `beside` stands beside
    the error in the API's body."""

    code = "error"
    http_status = status.HTTP_400_BAD_REQUEST
    beside = {}

    def __init__(self, sentence, *, fields=None):
        super().__init__(sentence)
        self.sentence = sentence
        self.fields = fields or {}


class Refused(SwardbookError):
    """The input cannot be used."""

    code = "refused"


class Conflict(SwardbookError):
    """The input was right once, but something else has changed since."""

    code = "conflict"
    http_status = status.HTTP_409_CONFLICT


def refuse(field, sentence):
    """Refuse a value in one sentence, which stands at its field; with an empty field it stands by itself.

    Raises
    ------
    Refused
    """
    raise Refused(sentence, fields={field: [sentence]} if field else {})


def refused_from(error):
    """A Refused with the words of a Django ValidationError, field by field."""
    if hasattr(error, "message_dict"):
        fields = {("" if name == "__all__" else name): texts for name, texts in error.message_dict.items()}
    else:
        fields = {"": error.messages}
    return Refused(" ".join(text for texts in fields.values() for text in texts), fields=fields)


def body(code, message, fields=None):
    """The API's only error body."""
    return {"error": {"code": code, "message": message, "fields": fields or {}}}


def api_exception_handler(error, context):
    """Turn what a view raised into the one error body; unknown failures stay loud."""
    if isinstance(error, ValidationError):
        error = refused_from(error)
    if isinstance(error, RequestDataTooBig):
        most_mb = settings.DATA_UPLOAD_MAX_MEMORY_SIZE / 1e6
        error = Refused(f"The body is larger than {most_mb:g} MB, which is the most that is accepted.")
    if isinstance(error, SwardbookError):
        set_rollback()
        said = body(error.code, error.sentence, error.fields) | error.beside
        return Response(said, status=error.http_status)
    response = exception_handler(error, context)
    if response is None:
        return None
    if isinstance(error, exceptions.ValidationError):
        fields = _texts(error.detail)
        message = " ".join((f"{name}: " if name else "") + " ".join(texts) for name, texts in fields.items())
        response.data = body("refused", message, fields)
    elif isinstance(error, (Http404, exceptions.NotFound)):
        response.data = body("not_found", "There is nothing here that you can see.")
    elif isinstance(error, (PermissionDenied, exceptions.PermissionDenied)):
        response.data = body("not_allowed", str(error) or "Your role on this property does not allow this.")
    else:
        detail = getattr(error, "detail", error)
        response.data = body(getattr(detail, "code", "error"), str(detail))
    return response


def _texts(detail, prefix=""):
    """Flatten DRF's nested detail into {'components.0.rate': ['…']}."""
    if isinstance(detail, dict):
        found = {}
        for name, inner in detail.items():
            key = "" if name == "non_field_errors" else str(name)
            found |= _texts(inner, f"{prefix}.{key}".strip(".") if key else prefix)
        return found
    if isinstance(detail, list) and any(isinstance(inner, (dict, list)) for inner in detail):
        found = {}
        for index, inner in enumerate(detail):
            found |= _texts(inner, f"{prefix}.{index}".strip(".")) if inner else {}
        return found
    return {prefix: [_short(str(text)) for text in (detail if isinstance(detail, list) else [detail])]}


def _short(text):
    """A sentence that repeats what was sent repeats no megabyte of it."""
    if len(text) <= LONGEST_TEXT:
        return text
    return f"{text[: LONGEST_TEXT - 60]} … {text[-50:]}"
