"""The table of an import: what was read, and what the person wants to be stored."""

from dataclasses import dataclass, field

from django.core.paginator import Paginator
from django.db.models import Count, Q, Sum

from plots.calc.shape import part_and_hole_counts
from plots.calc.units import m2_to_acres
from plots.queries import live_names

OUTLINES_A_PAGE = 100
_LONGEST_NUMBER = 9  # digits of a position: a file has thousands of outlines at most


@dataclass
class PreviewRow:
    """One outline, with what is chosen beside it."""

    outline: object
    parts: int
    holes: int
    plot_id: int | None = None  # the plot that gets it, while that is there
    targets: dict = field(default_factory=dict)  # name by id of the plots that could get it
    overlaps: list = field(default_factory=list)
    same_as: str = ""  # the plot that has this very outline already
    errors: dict = field(default_factory=dict)

    @property
    def prefix(self):
        return str(self.outline.position)

    @property
    def has_errors(self):
        return any(self.errors.values())


def preview_page(boundary_import, number):
    """A page of the outlines, of which `rows` are the PreviewRows; `number` is anything."""
    page = Paginator(boundary_import.outlines.defer("attributes"), OUTLINES_A_PAGE).get_page(number)
    outlines = list(page.object_list)
    names = live_names(boundary_import.property)
    ids = {name.lower(): plot_id for plot_id, name in names.items()}
    parts, holes = part_and_hole_counts([outline.geometry for outline in outlines])
    page.rows = [
        _row(*facts, names, ids.get(facts[0].name.strip().lower()))
        for facts in zip(outlines, parts, holes, strict=True)
    ]
    return page


def page_of(position):
    """The number of the page that has the outline at a position."""
    return 1 + (position - 1) // OUTLINES_A_PAGE


def preview_sums(boundary_import):
    """{"outlines", "chosen", "repaired", "acres"} of all pages."""
    sums = boundary_import.outlines.aggregate(
        outlines=Count("pk"),
        chosen=Count("pk", filter=Q(is_chosen=True)),
        repaired=Count("pk", filter=Q(is_repaired=True)),
        area_m2=Sum("area_m2", default=0.0),
    )
    return sums | {"acres": m2_to_acres(sums["area_m2"])}


def posted_choices(typed):
    """What services.choosing.keep_choices takes, from a posted page of the table."""
    names = {name.removeprefix("name-"): text for name, text in typed.items() if name.startswith("name-")}
    return {
        int(position): {
            "name": text,
            "is_chosen": f"use-{position}" in typed,
            "plot_id": _number(typed.get(f"plot-{position}")),
        }
        for position, text in names.items()
        if position.isdecimal() and len(position) <= _LONGEST_NUMBER
    }


def accepted_from(boundary_import):
    """What services.accepting.accept_import takes: the chosen outlines of all pages as they are kept."""
    names = live_names(boundary_import.property)
    chosen = boundary_import.outlines.filter(is_chosen=True).values_list("position", "name", "target_id")
    return [
        {"position": position, "name": name, "plot_id": plot_id if plot_id in names else None}
        for position, name, plot_id in chosen
    ]


def _row(outline, parts, holes, names, named_alike):
    """Say what the outline shares with plots, and which of them it could belong to."""
    overlaps = [item for item in outline.overlaps if item["plot_id"] in names]
    same = next((item for item in overlaps if item["is_same"]), None)
    ids = [*(item["plot_id"] for item in overlaps), named_alike, outline.target_id]
    targets = {plot_id: names[plot_id] for plot_id in ids if plot_id in names}
    return PreviewRow(
        outline,
        parts,
        holes,
        plot_id=outline.target_id if outline.target_id in targets else None,
        targets=targets,
        overlaps=[_in_words(item, outline) for item in overlaps if item is not same],
        same_as=same["plot"] if same else "",
    )


def _in_words(overlap, outline):
    area_m2 = overlap["area_m2"]
    return overlap | {"acres": m2_to_acres(area_m2), "share_pct": 100 * area_m2 / outline.area_m2}


def _number(text):
    return int(text) if text and text.isdecimal() else None
