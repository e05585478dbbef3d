"""The table of an import: what was read, and what the person wants to be stored."""

from dataclasses import dataclass, field

from plots.calc.shape import part_and_hole_counts
from plots.calc.units import m2_to_acres
from plots.queries import targets_on

_TYPED_ROOM = 200  # characters of a name that are given back when they were too many
_SAME_SHARE = 0.9999  # of both: the outline is the one that the plot has already


@dataclass
class PreviewRow:
    """One outline, with what is typed beside it."""

    outline: object
    parts: int
    holes: int
    name: str
    is_chosen: bool = True
    plot_id: int | None = None
    targets: list = field(default_factory=list)  # plots that could get this outline as their boundary
    overlaps: list = field(default_factory=list)
    same_as: str = ""  # the plot that has this very outline already
    errors: dict = field(default_factory=dict)

    @property
    def prefix(self):
        return str(self.outline.position)


def preview_rows(boundary_import, typed=None, errors=None):
    """Rows of the preview; `typed` is what was posted, `errors` the fields of a Refused."""
    outlines = list(boundary_import.outlines.all())
    plots = {plot.pk: plot for plot in targets_on(boundary_import.property)}
    by_name = {plot.name.lower(): plot for plot in plots.values()}
    parts, holes = part_and_hole_counts([outline.geometry for outline in outlines])
    rows = [
        PreviewRow(outline, *counts, name=_name(outline, typed))
        for outline, *counts in zip(outlines, parts, holes, strict=True)
    ]
    for row in rows:
        _compare(row, plots, by_name.get(row.name.strip().lower()))
        if typed is not None:
            _fill(row, typed, errors or {})
    return rows


def accepted_from(typed, positions):
    """What services.accepting.accept_import takes, from the posted table."""
    return [
        {
            "position": position,
            "name": typed.get(f"name-{position}", ""),
            "plot_id": _number(typed.get(f"plot-{position}")),
        }
        for position in positions
        if f"use-{position}" in typed
    ]


def _name(outline, typed):
    return (typed or {}).get(f"name-{outline.position}", outline.name)[:_TYPED_ROOM]


def _compare(row, plots, named_alike):
    """Say what the outline shares with plots, and which of them it could belong to."""
    overlaps = [item for item in row.outline.overlaps if item["plot_id"] in plots]
    same = next((item for item in overlaps if _is_same(row.outline, item, plots)), None)
    row.overlaps = [_in_words(item, row.outline) for item in overlaps if item is not same]
    row.same_as = same["plot"] if same else ""
    row.is_chosen = same is None
    row.plot_id = named_alike.pk if named_alike else None
    ids = dict.fromkeys(item["plot_id"] for item in overlaps)
    row.targets = [plots[plot_id] for plot_id in ids | ({named_alike.pk: None} if named_alike else {})]


def _fill(row, typed, errors):
    row.is_chosen = f"use-{row.prefix}" in typed
    row.plot_id = _number(typed.get(f"plot-{row.prefix}"))
    for name in ("name", "plot_id"):
        if f"{row.prefix}.{name}" in errors:
            row.errors[name] = errors[f"{row.prefix}.{name}"]


def _in_words(overlap, outline):
    area_m2 = overlap["area_m2"]
    return overlap | {"acres": m2_to_acres(area_m2), "share_pct": 100 * area_m2 / outline.area_m2}


def _is_same(outline, overlap, plots):
    there_m2 = plots[overlap["plot_id"]].area_m2
    return bool(there_m2) and overlap["area_m2"] >= _SAME_SHARE * max(outline.area_m2, there_m2)


def _number(text):
    return int(text) if text and text.isdecimal() else None
