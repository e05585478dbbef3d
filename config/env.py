"""Settings from the environment: small typed readers that fail on a bad value, naming it."""

import os
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.core.exceptions import ImproperlyConfigured

from config.imagery import read_address

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


def choice(name, default, accepted):
    """One of `accepted`, in any case."""
    value = text(name, default)
    if value.upper() not in accepted:
        raise ImproperlyConfigured(f"{name} is {value!r}; accepted are {', '.join(accepted)}.")
    return value.upper()


def url(name, default, schemes):
    """A URL of one of `schemes`. What else is in it may be secret and is never repeated."""
    value = text(name, default)
    scheme = value.partition(":")[0]
    if scheme not in schemes or ":" not in value:
        raise ImproperlyConfigured(
            f"{name} begins with {scheme!r}; accepted are URLs of {', '.join(schemes)}."
        )
    return value


def time_zone(name, default):
    """The name of a time zone of the IANA database."""
    value = text(name, default)
    try:
        ZoneInfo(value)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ImproperlyConfigured(
            f"{name} is {value!r}; names such as America/Chicago are accepted."
        ) from error
    return value


def tile_address(name):
    """The address of map tiles by column and row (XYZ), or None."""
    value = text(name)
    if not value:
        return None
    try:
        read_address(value, http_anywhere=True)
    except ValueError as error:
        raise ImproperlyConfigured(f"{name} is no address of tiles. {error}") from error
    return value.strip()
