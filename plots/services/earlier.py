"""What a row said before somebody changed it, kept on the row."""

import json

import shapely
from django.utils import timezone
from shapely.geometry.base import BaseGeometry


def keep_earlier(row, user, wanted):
    """Set the wanted values on the row, and keep those that they replace in `row.earlier`.

    Parameters
    ----------
    row : Model
        With a column `earlier`: [{"at": moment, "by": name, "was": {field: value}}, …].
    user : User
        Who changes it.
    wanted : dict
        Field to value; what is as it was is no change.

    Returns
    -------
    bool
        Whether anything is another than before.
    """
    was = {name: getattr(row, name) for name, value in wanted.items() if getattr(row, name) != value}
    if not was:
        return False
    told = {name: _plain(value) for name, value in was.items()}
    row.earlier = [*row.earlier, {"at": timezone.now().isoformat(), "by": user.shown_name, "was": told}]
    for name in was:
        setattr(row, name, wanted[name])
    return True


def _plain(value):
    """As JSON has it; a figure keeps its decimals by being text."""
    if isinstance(value, BaseGeometry):
        return json.loads(shapely.to_geojson(value))
    return value if value is None or isinstance(value, bool | dict) else str(value)
