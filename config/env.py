"""Settings from the environment: small typed readers that fail on a bad value, naming it."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

_TRUE, _FALSE = {"1", "true", "yes", "on"}, {"0", "false", "no", "off", ""}


def text(name, default=None):
    """The variable's text. `NAME_FILE` may hold the path of a file with the value (for secrets)."""
    path = os.environ.get(f"{name}_FILE")
    if path:
        try:
            return Path(path).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise ImproperlyConfigured(f"{name}_FILE is {path!r}, which cannot be read: {error}.") from error
    return os.environ.get(name, default)


def flag(name, default=False):
    value = text(name)
    if value is None:
        return default
    if value.strip().lower() in _TRUE:
        return True
    if value.strip().lower() in _FALSE:
        return False
    raise ImproperlyConfigured(f"{name} is {value!r}; accepted are 1, 0, true, false, yes, no, on and off.")


def integer(name, default, *, least=None, most=None):
    value = text(name)
    if value is None:
        return default
    try:
        number = int(value)
    except ValueError as error:
        raise ImproperlyConfigured(f"{name} is {value!r}; a whole number is accepted.") from error
    if (least is not None and number < least) or (most is not None and number > most):
        raise ImproperlyConfigured(f"{name} is {number}; accepted is {least} to {most}.")
    return number


def words(name, default=()):
    """A comma-separated list."""
    value = text(name)
    if value is None:
        return list(default)
    return [word.strip() for word in value.split(",") if word.strip()]
