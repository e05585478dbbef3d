"""What a phone knows of a property while it has no signal, and a walk as it is looked at afterwards."""

from dataclasses import dataclass, field

import numpy as np

from config.errors import Refused
from plots.access import EDIT
from plots.calc.track import Use, track_of
from plots.calc.units import m2_to_acres
from plots.formats.walked import Walked
from plots.geojson import as_stored, collection_text, compact, from_afar
from plots.models import Plot, Walk
from plots.queries import boundaries_for
from plots.services.trying import measured_outline
from plots.services.walks import walked_of

_AROUND_DEGREES = 0.003  # about three hundred metres
_MOST_AROUND = 200


def ground_known(property, user):
    """JSON: who is signed in, and the plots with name, acres and an outline fit to be sketched.

    `property` is as `plots.access.property_for` gives it, with the acts that the person may do.
    """
    who = {
        "user": {"id": user.pk, "name": user.shown_name},
        "property": property.name,
        "may_accept": EDIT in property.allowed,
    }
    return f'{compact(who)[:-1]},"plots":{plots_known(property)}}}'


def plots_known(property):
    """Text of a FeatureCollection: the plots in use with name, acres and an outline fit to be sketched."""
    rows = list(
        Plot.objects.filter(property=property, is_archived=False)
        .order_by("name", "pk")
        .values_list("pk", "name", "boundary__area_m2", "boundary__geometry")
    )
    facts = [
        compact({"name": name, "acres": None if area_m2 is None else m2_to_acres(area_m2)})
        for _, name, area_m2, _ in rows
    ]
    return collection_text(from_afar([row[3] for row in rows]), facts, ids=[row[0] for row in rows])


@dataclass(frozen=True)
class Looked:
    """A walk as a page shows it, by the limits that were asked for.

    `walked` is None where no outline comes of it, and `refused` says why. `overlaps` are as those of
    `plots.services.trying.measured_outline`.
    """

    plot: Plot | None
    worst_accuracy_m: float
    tolerance_m: float
    walked: Walked | None = None
    refused: str = ""
    overlaps: list = field(default_factory=list)
    doubts: list = field(default_factory=list)


def looked_at(walk, plot, worst_accuracy_m, tolerance_m):
    """What the walk would be as the boundary of `plot`, or of a new one."""
    asked = {"plot": plot, "worst_accuracy_m": worst_accuracy_m, "tolerance_m": tolerance_m}
    try:
        walked = walked_of(walk, worst_accuracy_m=worst_accuracy_m, tolerance_m=tolerance_m)
    except Refused as error:
        return Looked(**asked, refused=error.sentence)
    if walk.state == Walk.State.ACCEPTED:
        return Looked(**asked, walked=walked)
    measured = measured_outline(property=walk.property, drawn=walked.outline, plot=plot)
    return Looked(**asked, walked=walked, overlaps=measured["overlaps"], doubts=measured["doubts"])


def walk_on_the_map(walk, looked):
    """GeoJSON: what is there, what was walked, and every fix by what became of it.

    Properties of each feature: `kind`, which is `there` (a plot around it), `now` (the boundary as it is), `walked`
    (the outline) or the name of a `Use`.
    """
    uses = looked.walked.uses if looked.walked else track_of(walk.fixes, looked.worst_accuracy_m).uses
    places = np.array([fix[:2] for fix in walk.fixes])
    now = looked.plot.boundary if looked.plot else None
    outline = looked.walked.outline if looked.walked else None
    around = _around(walk.property, places, looked.plot)
    drawn = [*from_afar(around), *as_stored([each for each in (now and now.geometry, outline) if each])]
    kinds = ["there"] * len(around) + ["now"] * bool(now) + ["walked"] * bool(outline)
    for use in Use:
        points = places[uses == use]
        if len(points):
            drawn.append(compact({"type": "MultiPoint", "coordinates": points.round(7).tolist()}))
            kinds.append(use.name.lower())
    return collection_text(drawn, [compact({"kind": kind}) for kind in kinds])


def _around(property, places, plot):
    (west, south), (east, north) = places.min(axis=0), places.max(axis=0)
    reach = _AROUND_DEGREES
    near = boundaries_for(property).filter(
        geometry__bbox=(west - reach, south - reach, east + reach, north + reach)
    )
    if plot is not None:
        near = near.exclude(plot=plot)
    return list(near.values_list("geometry", flat=True)[:_MOST_AROUND])
