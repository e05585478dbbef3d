"""What of the ground /ogc/ has beside plots and plantings: visits, and landmarks."""

from datetime import UTC

from django.db.models import F, OuterRef, Subquery
from django.db.models.functions import Coalesce

from blends.ogc.kinds import Feature, register
from fieldlog.models import Visit
from plots.fields import BoundaryField, PointOnSurface
from plots.models import Boundary, Landmark, User


class Visits:
    """Who was at a plot and what they wrote, also of plots that have been archived since."""

    name = "visits"
    title = "Visits to plots of {}"
    description = (
        "Each visit with what was noted. It lies at a point inside the plot, not where the person stood: of the boundary "
        "that held at the time, or the current one for a visit before the first. datetime asks for the moment of the "
        "visit."
    )
    property_path = "plot__property"
    geometries = ["place"]
    extents = ["plot__boundaries__"]
    when = "visited_at"
    has_hour = True
    order = ["received_at", "pk"]
    columns = [
        *("plot_id", "plot__name", "visited_at", "note"),
        *("recorded_by__username", "recorded_by__first_name", "recorded_by__last_name", "place"),
    ]

    @staticmethod
    def rows():
        then = Boundary.objects.filter(plot=OuterRef("plot"), created_at__lte=OuterRef("visited_at"))
        latest = then.order_by("-created_at", "-pk").values("geometry")[:1]
        ground = Coalesce(Subquery(latest), F("plot__boundary__geometry"), output_field=BoundaryField())
        return Visit.objects.annotate(place=PointOnSurface(ground))

    @staticmethod
    def feature(pk, plot_id, plot, visited_at, note, username, first_name, last_name, place):
        who = User(username=username, first_name=first_name, last_name=last_name)
        facts = {
            "plot": plot,
            "plot_id": plot_id,
            "visited_at": f"{visited_at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}",
            "note": note or None,
            "recorded_by": who.shown_name,
        }
        return Feature(str(pk), place, facts)


class Landmarks:
    """Gates, wells, roads and what else stands or lies there, unless it has been archived."""

    name = "landmarks"
    title = "Landmarks of {}"
    description = (
        "Points, lines and areas that are no part of any acreage: gates, wells, roads, power lines, trail camera "
        "positions, ground to keep out of. A landmark has no date, so every datetime matches it."
    )
    property_path = "property"
    geometries = ["geometry"]
    extents = [""]
    when = None
    has_hour = False
    order = ["pk"]
    columns = ["kind", "name", "note", "geometry"]

    @staticmethod
    def rows():
        return Landmark.objects.filter(is_archived=False)

    @staticmethod
    def feature(pk, kind, name, note, geometry):
        return Feature(pk, geometry, {"kind": kind, "name": name or None, "note": note or None})


def register_kinds():
    register(Visits)
    register(Landmarks)
