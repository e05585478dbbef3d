"""Whether an outline lies where it can be meant to lie."""

from dataclasses import dataclass

import numpy as np

from plots.calc.nearness import away_m, box_around, main_group
from plots.calc.units import m_to_ft
from plots.queries import boundaries_for, extents_for

FAR_M = 20_000.0  # what one manager looks after seldom lies further apart; ours
_FT_PER_MILE = 5280
_MOST_SAID = 5

# What a slip of the hand makes of an extent (west, south, east, north), and the question that it raises.
_SLIPS = [
    (lambda w, s, e, n: (s, w, n, e), "With longitude and latitude exchanged it would lie among them; are the two swapped?"),
    (lambda w, s, e, n: (-e, s, -w, n), "With the other sign of its longitude it would lie among them; is a minus missing or one too many?"),
    (lambda w, s, e, n: (w, -n, e, -s), "With the other sign of its latitude it would lie among them; is a minus missing or one too many?"),
]  # fmt: skip


def doubts_about(property, outline, *, name, but=None, rest="other plot"):
    """Sentences that question where an outline lies, against the other plots of its property; mostly none.

    Parameters
    ----------
    outline : shapely MultiPolygon
        Longitude and latitude on WGS84.
    name : str
        What the sentences call it.
    but : Plot, optional
        Left out of the rest, since its boundary is what is replaced.
    rest : str
        What one of the rest is to it.
    """
    if _has_plots_near(property, outline.bounds, but):
        return []  # as nearly always; the extents of all plots are read only where there may be a doubt
    return [doubt.about(name, rest) for doubt in _doubts([outline.bounds], extents_for(property, but=but))]


def doubts_about_file(property, outlines, names):
    """The same of the outlines of a file, against the property's plots, or among themselves where it has none.

    Returns
    -------
    list of str
        One sentence for the whole file where all of it lies far off; else one an outline, for the first of them.
    """
    extents, rest = np.array([outline.bounds for outline in outlines]), extents_for(property)
    if not len(rest):
        rest = extents[main_group(extents, FAR_M)]
        if len(rest) < 2:
            return []  # no outline has company: nothing says which of them lies wrong
    doubts = _doubts(extents, rest)
    if len(doubts) == len(outlines) > 1:
        nearest = min(doubts, key=lambda doubt: doubt.distance_m)
        question = nearest.slip or "Is the coordinate system right?"
        return [
            f"These outlines lie about {_miles(nearest.distance_m)} miles from the plots that are there. {question}"
        ]
    said = [doubt.about(names[doubt.position]) for doubt in doubts[:_MOST_SAID]]
    if len(doubts) > _MOST_SAID:
        said.append(f"{len(doubts) - _MOST_SAID} more of these outlines lie as far off.")
    return said


@dataclass(frozen=True)
class _Doubt:
    position: int  # of the extent
    distance_m: float  # from the nearest of the rest
    slip: str | None  # the question about the slip of the hand that explains it

    def about(self, name, rest="other plot"):
        return (
            f"{name} would lie {self.distance_m / 1000:,.0f} km ({_miles(self.distance_m)} miles) from the nearest "
            f"{rest}. {self.slip or 'Is that meant?'}"
        )


def _doubts(extents, rest):
    """A doubt for each extent that lies far from the rest; an empty rest raises none."""
    if not len(rest):
        return []
    extents = np.asarray(extents, dtype=float)
    distances_m = away_m(extents, rest)
    far = np.flatnonzero(distances_m > FAR_M)
    if not far.size:
        return []
    slipped = [
        (away_m([slip(*extents[each]) for each in far], rest) <= FAR_M, question) for slip, question in _SLIPS
    ]
    return [
        _Doubt(
            int(each),
            float(distances_m[each]),
            next((question for is_slip, question in slipped if is_slip[place]), None),
        )
        for place, each in enumerate(far)
    ]


def _miles(distance_m):
    return f"{m_to_ft(distance_m) / _FT_PER_MILE:,.0f}"


def _has_plots_near(property, extent, but):
    """Whether a plot's extent meets a box that reaches half as far: its corners lie within FAR_M, too."""
    near = boundaries_for(property).filter(geometry__bbox=box_around(extent, FAR_M / 2))
    if but is not None:
        near = near.exclude(plot=but)
    return near.exists()
