"""The kinds of collection that a property has: plots and plantings. Apps above this one register theirs.

A kind is a class with these attributes; a column may be an annotation of `rows()`.

name, title, description : str
    `title` has braces for the property's name.
property_path : str
    From a row to its property.
geometries : list of str
    Columns in which the geometry stands: the first that there is.
extents : list of str
    Prefixes of the columns west, south, east and north that cover the geometry: the first that there is.
when : str or None
    Column that `datetime` asks for.
has_hour : bool
    Whether `when` is a moment; else it is a day.
order : list of str
    The order in which they were made, so that what is new comes on the last page.
columns : list of str
rows() : QuerySet
feature(pk, *columns) : Feature
"""

from dataclasses import dataclass

from django.db.models import Q
from shapely.geometry.base import BaseGeometry

from blends.models import Planting
from plots.calc.units import M2_PER_ACRE
from plots.models import Plot

KINDS = {}


@dataclass(frozen=True)
class Feature:
    id: int | str
    geometry: BaseGeometry | None
    facts: dict


class Plots:
    """Plots that are not archived, with the boundary that holds now."""

    name = "plots"
    title = "Plots of {}"
    description = (
        "Plots with their current boundary and mapped acres, which are empty while unmeasured. A plot has no date, "
        "so every datetime matches it."
    )
    property_path = "property"
    geometries = ["boundary__geometry"]
    extents = ["boundary__"]
    when = None
    has_hour = False
    order = ["pk"]
    columns = ["name", "boundary__area_m2", "objective", "boundary__how", "boundary__geometry"]

    @staticmethod
    def rows():
        return Plot.objects.filter(is_archived=False)

    @staticmethod
    def feature(pk, name, area_m2, objective, how, geometry):
        acres = None if area_m2 is None else area_m2 / M2_PER_ACRE
        facts = {"plot": name, "acres": acres, "objective": objective or None, "boundary_how": how}
        return Feature(pk, geometry, facts)


class Plantings:
    """What plots got, or will get, by season; archived plots only where they were planted."""

    name = "plantings"
    title = "Plantings of {}"
    description = (
        "What each plot gets in a season, with the boundary that held when it was planted, until then the current "
        "one. The day of planting is what datetime asks for; what has not been planted matches every datetime."
    )
    property_path = "plot__property"
    geometries = ["boundary__geometry", "plot__boundary__geometry"]
    extents = ["boundary__", "plot__boundary__"]
    when = "planted_on"
    has_hour = False
    order = ["pk"]
    columns = [
        *("plot_id", "plot__name", "season__year", "season__kind", "blend__name", "is_fallow", "method"),
        *("state", "planted_on", "planted_acres", "boundary__geometry", "plot__boundary__geometry"),
    ]

    @staticmethod
    def rows():
        return Planting.objects.filter(Q(plot__is_archived=False) | ~Q(state=Planting.State.PLANNED))

    @staticmethod
    def feature(pk, plot_id, plot, year, kind, blend, fallow, method, state, planted_on, acres, then, now):
        facts = {
            "plot": plot,
            "plot_id": plot_id,
            "season": f"{year}-{kind}",
            "blend": blend,
            "fallow": fallow,
            "method": None if fallow else method,
            "state": None if fallow else state,
            "planted_on": planted_on and planted_on.isoformat(),
            "planted_acres": None if acres is None else float(acres),
        }
        return Feature(pk, now if then is None else then, facts)


def register(kind):
    """Give every property a collection of this kind."""
    KINDS[kind.name] = kind


register(Plots)
register(Plantings)
