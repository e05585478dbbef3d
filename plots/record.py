"""The record of a plot's boundaries, any two of them compared, and the overlaps of a property as GeoJSON."""

from dataclasses import dataclass

from plots.calc.change import Change, change_between
from plots.calc.units import m2_to_acres, m_to_ft
from plots.geojson import as_stored, collection_text, compact
from plots.models import Boundary, Overlap
from plots.queries import boundaries_for
from plots.services.mending import keeper_of


@dataclass(frozen=True)
class Comparison:
    """Two boundaries of a plot, from the first to the second; acres as in `Change`."""

    first: Boundary
    second: Boundary
    change: Change

    @property
    def acres(self):
        """{"first", "second", "kept", "gained", "lost", "net": acres}."""
        change = self.change
        return {
            "first": m2_to_acres(change.before_m2),
            "second": m2_to_acres(change.after_m2),
            "kept": m2_to_acres(change.kept_m2),
            "gained": m2_to_acres(change.gained_m2),
            "lost": m2_to_acres(change.lost_m2),
            "net": m2_to_acres(change.net_m2),
        }

    def geojson(self):
        """The two outlines and the ground kept, gained and lost as the text of a FeatureCollection.

        `what` of each feature is first, second, kept, gained or lost; ground of which there is none has no geometry.
        """
        change, acres = self.change, self.acres
        drawn = {
            "kept": change.kept,
            "gained": change.gained,
            "lost": change.lost,
            "first": self.first.geometry,
            "second": self.second.geometry,
        }
        outlines = [None if geometry.is_empty else geometry for geometry in drawn.values()]
        facts = [compact({"what": what, "acres": acres[what]}) for what in drawn]
        members = {"first": self.first.pk, "second": self.second.pk, "net_acres": acres["net"]}
        return collection_text(as_stored(outlines), facts, members=members)


def comparison_of(plot, first_id, second_id):
    """Two boundaries of the plot compared; None where one of the ids is none of its.

    Parameters
    ----------
    plot : Plot
    first_id, second_id : int
    """
    rows = plot.boundaries.select_related("created_by").in_bulk([first_id, second_id])
    if {first_id, second_id} != rows.keys():
        return None
    first, second = rows[first_id], rows[second_id]
    return Comparison(first, second, change_between(first.geometry, second.geometry))


def overlaps_geojson(property, overlaps, *, first_mark=None):
    """Overlaps as the text of a FeatureCollection, in their order.

    Parameters
    ----------
    overlaps : iterable of Overlap
        With their boundaries and plots.
    first_mark : int, optional
        For a map: the plots' outlines come too, below the ground that they share, and each overlap has a `mark`,
        counted from this.

    Returns
    -------
    str
        `what` of a feature is plot or shared; of shared ground `id`, `plots`, `acres`, `area_m2`, `widest_ft` and
        `older`, the id of the plot whose boundary is older.
    """
    overlaps = list(overlaps)
    shapes = dict(Overlap.objects.filter(pk__in=[each.pk for each in overlaps]).values_list("pk", "geometry"))
    drawn, facts = [], []
    if first_mark is not None:
        ids = {each.plot_id for overlap in overlaps for each in (overlap.first, overlap.second)}
        for pk, name, geometry in boundaries_for(property, ids).values_list(
            "plot_id", "plot__name", "geometry"
        ):
            drawn.append(geometry)
            facts.append(compact({"what": "plot", "id": f"plot-{pk}", "name": name}))
    for place, overlap in enumerate(overlaps):
        mark = {} if first_mark is None else {"mark": str(first_mark + place)}
        drawn.append(shapes[overlap.pk])
        facts.append(compact({"what": "shared"} | _overlap_facts(overlap) | mark))
    return collection_text(as_stored(drawn), facts)


def _overlap_facts(overlap):
    pair = [overlap.first.plot, overlap.second.plot]
    return {
        "id": overlap.pk,
        "plots": [{"plot_id": plot.pk, "plot": plot.name} for plot in pair],
        "acres": overlap.acres,
        "area_m2": overlap.area_m2,
        "widest_ft": m_to_ft(overlap.width_m),
        "older": keeper_of(overlap).pk,
    }
