"""What a phone knows of a property while somebody walks it without signal. No price is in it."""

from collections import Counter

from django.conf import settings
from django.db.models import F, Prefetch, Window
from django.db.models.functions import RowNumber

from blends.queries.restrictions import restrictions
from fieldlog.kinds import KINDS
from fieldlog.kinds.weeds import COMMON, WEEDS
from fieldlog.models import PhotoPoint, Reading, Visit
from fieldlog.queries.planted_facts import planted_known
from fieldlog.queries.protocols import due_known, protocols_known, protocols_of
from fieldlog.queries.walks import plots_known
from fieldlog.queries.work import work_known
from fieldlog.safety import safety_known
from fieldlog.told import reading_told, title_of
from plots.access import RECORD
from plots.geojson import compact

VISITS_A_PLOT = 3
_FIGURES_A_READING = 4
_MOST_WEEDS, _WEEDS_FROM = 12, 300


def field_known(property, user):
    """JSON text: who is signed in, the plots, what grows there, what is asked, due and forbidden, and what was seen.

    Parameters
    ----------
    property : Property
        As `plots.access.property_for` gives it, with the acts that the person may do.
    user : User
    """
    protocols = protocols_of(property)
    facts = {
        "user": {"id": user.pk, "name": user.shown_name},
        "may_record": RECORD in property.allowed,
        "property": property.name,
        "zone": settings.TIME_ZONE,
        "planted": planted_known(property),
        "kinds": {key: kind.as_json() for key, kind in KINDS.items()},
        "protocols": protocols_known(protocols),
        "due": due_known(property, protocols),
        "visits": _visits_known(property),
        "photo_points": _photo_points_known(property),
        "restrictions": [
            {"plot_id": each.plot_id, "sentence": str(each), "until": each.until.isoformat()}
            for each in restrictions(property)
        ],
        "work": work_known(property, user),
        "safety": safety_known(),
        "weeds": _weeds_known(property),
    }
    return f'{compact(facts)[:-1]},"plots":{plots_known(property)}}}'


def _visits_known(property):
    """{id of the plot: its last visits, each with what was read in words}."""
    latest = Window(RowNumber(), partition_by="plot_id", order_by=[F("visited_at").desc(), F("pk")])
    readings = Prefetch("readings", Reading.objects.filter(Reading.COUNTS).order_by("taken_at"))
    rows = (
        Visit.objects.filter(plot__property=property, plot__is_archived=False)
        .annotate(nth=latest)
        .filter(nth__lte=VISITS_A_PLOT)
        .select_related("recorded_by")
        .prefetch_related(readings)
        .order_by("-visited_at", "pk")
    )
    found = {}
    for visit in rows:
        found.setdefault(visit.plot_id, []).append(_visit(visit))
    return found


def _visit(visit):
    readings = [
        {"kind": title_of(each.kind), "told": reading_told(each, _FIGURES_A_READING)}
        for each in visit.readings.all()
    ]
    return {
        "id": str(visit.pk),
        "at": visit.visited_at.isoformat(),
        "by": visit.recorded_by.shown_name,
        "note": visit.note[:200],
        "readings": readings,
    }


def _weeds_known(property):
    """Names of weeds to tap: those that were read here lately, the most frequent first, then common ones."""
    rows = Reading.objects.filter(Reading.COUNTS, kind=WEEDS.key, visit__plot__property=property)
    values = rows.order_by("-taken_at").values_list("values__species__name", flat=True)[:_WEEDS_FROM]
    seen = [name for name, _ in Counter(filter(None, values)).most_common(_MOST_WEEDS)]
    return list(dict.fromkeys([*seen, *COMMON]))


def _photo_points_known(property):
    rows = PhotoPoint.objects.filter(plot__property=property, plot__is_archived=False, is_archived=False)
    columns = ("pk", "plot_id", "name", "lon", "lat", "bearing_deg", "note")
    names = ("id", *columns[1:])
    return [dict(zip(names, row, strict=True)) for row in rows.values_list(*columns)]
