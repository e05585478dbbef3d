"""Validating and saving one row, in the words of config/errors.py."""

from django.core.exceptions import ValidationError
from django.db import IntegrityError

from config.errors import Conflict, refused_from


def save_clean(row, known=(), **how):
    """Validate the whole row, then save it; `how` goes to `save()`.

    Parameters
    ----------
    row : Model
    known : tuple of str
        Relations to rows that the caller has read or locked in this transaction: they are not looked up again. Rules
        that name them are left to the database.

    Raises
    ------
    Refused
        A value, or a rule of the row, is not met.
    Conflict
        Somebody else saved a row that excludes this one between the check and the write.
    """
    try:
        row.full_clean(exclude=known)
        row.save(**how)
    except ValidationError as error:
        raise refused_from(error) from error
    except IntegrityError as error:
        raise Conflict(
            f"“{row}” was changed by somebody else at this moment; look again and repeat."
        ) from error
    return row
