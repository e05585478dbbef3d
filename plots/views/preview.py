"""The table of an import: what was read, and what the person wants to be stored."""

from dataclasses import dataclass, field

from plots.calc.shape import part_and_hole_counts
from plots.calc.units import m2_to_acres
from plots.models import Plot
from plots.queries import plots_for

_SAME_SHARE = 0.9999  # of both: the outline is the one that the plot has already


@dataclass
class PreviewRow:
    """One outline, with what is typed beside it."""

    outline: object
    parts: int
    holes: int
    name: str
    is_chosen: bool
    plot_id: int | None
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
    plots = {plot.pk: plot for plot in plots_for(boundary_import.property)}
    by_name = {plot.name.lower(): plot for plot in plots.values()}
    parts, holes = part_and_hole_counts([outline.geometry for outline in outlines])
    rows = []
    for outline, part_count, hole_count in zip(outlines, parts, holes, strict=True):
        overlaps = [item for item in outline.overlaps if item["plot_id"] in plots]
        same = next((item for item in overlaps if _is_same(outline, item, plots)), None)
        named_alike = by_name.get(outline.name.lower())
        targets = {item["plot_id"]: plots[item["plot_id"]] for item in overlaps}
        if named_alike:
            targets[named_alike.pk] = named_alike
        rows.append(
            PreviewRow(
                outline=outline,
                parts=part_count,
                holes=hole_count,
                name=outline.name,
                is_chosen=same is None,
                plot_id=named_alike.pk if named_alike else None,
                targets=list(targets.values()),
                overlaps=[_in_words(item, outline) for item in overlaps if item is not same],
                same_as=same["plot"] if same else "",
            )
        )
    if typed is not None:
        _fill(rows, typed, errors or {})
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


def _fill(rows, typed, errors):
    for row in rows:
        row.is_chosen = f"use-{row.prefix}" in typed
        row.name = typed.get(f"name-{row.prefix}", row.name)[: 2 * Plot._meta.get_field("name").max_length]
        row.plot_id = _number(typed.get(f"plot-{row.prefix}"))
        row.errors = {
            name: errors[f"{row.prefix}.{name}"]
            for name in ("name", "plot_id")
            if f"{row.prefix}.{name}" in errors
        }


def _in_words(overlap, outline):
    area_m2 = overlap["area_m2"]
    return overlap | {"acres": m2_to_acres(area_m2), "share_pct": 100 * area_m2 / outline.area_m2}


def _is_same(outline, overlap, plots):
    there_m2 = plots[overlap["plot_id"]].boundary.area_m2
    return bool(there_m2) and overlap["area_m2"] >= _SAME_SHARE * max(outline.area_m2, there_m2)


def _number(text):
    return int(text) if text and text.isdecimal() else None
