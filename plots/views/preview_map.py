"""The map of an import's preview: the file's outlines, and the plots that are already there."""

from hashlib import sha256

from django.db.models import Max, Min
from django.http import HttpResponse
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from config.pages import section
from config.templatetags.figures import acres_text
from plots.access import import_for
from plots.calc.units import m2_to_acres
from plots.geojson import MANY, MEDIA_TYPE, as_stored, collection_text, compact, from_afar
from plots.models import Boundary, BoundaryImport
from plots.queries import boundaries_for

_AROUND_DEGREES = 0.01  # about a kilometre


@section("plots")
@require_safe
@gzip_page
def import_outlines(request, slug, import_id):
    """GeoJSON for the map. Every page of the preview asks for it; when nothing has changed no geometry is read."""
    found = _Outlines(import_for(request.user, slug, import_id))
    response = get_conditional_response(request, etag=found.etag)
    if response is None:
        response = HttpResponse(found.geojson(), content_type=MEDIA_TYPE)
    response["ETag"] = found.etag
    patch_cache_control(response, private=True, no_cache=True)
    return response


class _Outlines:
    """What is drawn. `etag` names all of it: the geometry of an outline or boundary never changes, its id does."""

    def __init__(self, row):
        self._all, self._near = row.outlines.all(), _near(row)
        outlines = list(self._all.values_list("pk", "position", "name", "area_m2", "overlaps"))
        shared = [item for each in outlines for item in each[4]]
        covered = {item["plot_id"] for item in shared}
        hidden = {item["plot_id"] for item in shared if item["is_same"]}
        near = self._near.values_list("pk", "plot_id", "plot__name")
        there = [each for each in near if each[1] not in hidden]
        self._ids, self._there_ids = [each[0] for each in outlines], [each[0] for each in there]
        self._properties = [
            *(_there_on_the_map(plot_id, "" if plot_id in covered else name) for _, plot_id, name in there),
            *(_on_the_map(*each[1:4]) for each in outlines),
        ]
        shown = repr([self._there_ids, self._ids, self._properties])
        self.etag = f'"{sha256(shown.encode()).hexdigest()[:32]}"'

    def geojson(self):
        # A file of a few plots is looked at closely, for what was repaired; what surrounds it is not.
        write = as_stored if len(self._ids) <= MANY else from_afar
        drawn = [*from_afar(_read(self._near, self._there_ids)), *write(_read(self._all, self._ids))]
        return collection_text(drawn, self._properties)


def _near(row):
    """Boundaries close enough to be seen beside the outlines; far ones would make both too small to see."""
    extent = row.outlines.aggregate(Min("west"), Min("south"), Max("east"), Max("north"))
    west, south, east, north = extent.values()
    if row.state == BoundaryImport.State.STORED or west is None:
        return Boundary.objects.none()
    around = _AROUND_DEGREES
    view = (west - around, south - around, east + around, north + around)
    return boundaries_for(row.property).filter(geometry__bbox=view)


def _read(rows, ids):
    geometries = dict(rows.values_list("pk", "geometry")) if ids else {}
    return [geometries.get(pk) for pk in ids]


def _there_on_the_map(plot_id, name):
    """Without a name where an outline has its label."""
    return compact({"id": f"plot-{plot_id}", "name": name, "look": "there"})


def _on_the_map(position, name, area_m2):
    shown = {"id": str(position), "name": name, "acres": acres_text(m2_to_acres(area_m2))}
    return compact(shown | {"mark": str(position), "look": "plain"})
