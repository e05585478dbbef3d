"""What a phone knows of a season's planting sheets while it has no signal: everything in words, nothing to compute.

No price is in it.
"""

from django.conf import settings
from django.utils.http import urlencode

from blends.queries.machines import boxes_of, machines_for
from blends.queries.sheets import sheets
from blends.queries.sheets.asked import planting_plot_ids
from config.templatetags.figures import acres_text, day, figure_text
from plots.access import RECORD

MOST_SHEETS = 500
"""More than anybody plants in a week, and about what a phone still opens at once; ours."""


def planting_known(season, user, machine=None, level_pct=100.0):
    """Facts for JSON: who is signed in, the season, its machines, and its sheets by the name of the plot.

    Parameters
    ----------
    season : Season
        As `blends.access.season_for` gives it, with the property that knows what the person may do.
    user : User
    machine : Machine, optional
        For the plots whose method it suits.
    level_pct : float
        How full the boxes are filled. [%]
    """
    property = season.property
    plot_ids = planting_plot_ids(season)
    cautions = _Numbered()
    made = sheets(season, plot_ids[:MOST_SHEETS], machine=machine, level_pct=level_pct)
    return {
        "user": {"id": user.pk, "name": user.shown_name},
        "may_record": RECORD in property.allowed,
        "property": property.name,
        "season": {"slug": season.slug, "name": str(season)},
        "zone": settings.TIME_ZONE,
        "asked": urlencode({"machine": machine.pk if machine else "", "level": f"{level_pct:g}"}),
        "machines": [_machine(each) for each in machines_for(property)],
        "sheets": [_sheet(each, cautions) for each in made],
        "cautions": [_caution(each) for each in cautions.all],
        "left_out": max(len(plot_ids) - MOST_SHEETS, 0),
    }


class _Numbered:
    """Things that many sheets share are told once, and by their number."""

    def __init__(self):
        self.all, self._numbers = [], {}

    def number(self, thing, key):
        if key not in self._numbers:
            self._numbers[key] = len(self.all)
            self.all.append(thing)
        return self._numbers[key]


def _machine(machine):
    return {
        "id": machine.pk,
        "name": machine.name,
        "kind": machine.kind,
        "boxes": boxes_of(machine),
    }


def _caution(caution):
    source = caution.source
    return {
        "label": caution.label,
        "sentence": caution.sentence,
        "source": None if source is None else str(source),
    }


def _sheet(sheet, cautions):
    planting = sheet.planting
    return {
        "plot": {"id": planting.plot_id, "name": planting.plot.name},
        "blend": planting.blend.name,
        "method": planting.get_method_display(),
        "state": planting.state,
        "planted": f"{day(planting.planted_on)}, {acres_text(planting.planted_acres)}"
        if planting.planted_on
        else "",
        "acres": acres_text(sheet.acres),
        "lb": figure_text(sheet.lb, 2, "lb"),
        "rate": figure_text(sheet.lb_per_acre, 2, "lb/ac"),
        "machine": sheet.machine and {"id": sheet.machine.pk, "name": sheet.machine.name},
        "level": "" if sheet.level_pct == 100 else f"filled to {sheet.level_pct:g} %",
        "boxes": [_box(each) for each in sheet.boxes],
        "seeds": _seed_lines(sheet),
        "depths": [_depth(each) for each in sheet.depths],
        "depth_unknown": [str(each) for each in sheet.depth_unknown],
        "soil": _soil(sheet),
        "inoculants": [_inoculant(each) for each in sheet.inoculants],
        "cautions": [cautions.number(each, (each.key, each.sentence)) for each in sheet.cautions],
        "restrictions": [str(each) for each in sheet.restrictions],
        "gaps": list(sheet.gaps),
    }


def _box(box):
    return {
        "box": box.box,
        "label": box.label,
        "lb": figure_text(box.lb, 2, "lb"),
        "rate": figure_text(box.lb_per_acre, 2, "lb/ac"),
        "full": figure_text(box.full_lb, 2, "lb"),
        "seeds": [_seed(each) for each in box.seeds],
        "settings": _settings(box),
        "catch": _catch(box),
        "fills": None if box.fills is None else [_fill(each, box.seeds) for each in box.fills],
        "fills_unknown": box.fills_unknown,
    }


def _seed(seed):
    notes = []
    if seed.instead_of:
        notes.append(f"instead of {seed.instead_of}")
    if seed.is_assumed and seed.live_fraction is not None:
        notes.append(f"{100 * seed.live_fraction:.1f} % live assumed")
    if seed.lot and seed.lot.treatment:
        notes.append(f"tag says: {seed.lot.treatment}")
    return {
        "name": seed.name,
        "lot": seed.lot_name,
        "lb": figure_text(seed.lb, 2, "lb"),
        "rate": figure_text(seed.lb_per_acre, 2, "lb/ac"),
        "note": ", ".join(notes),
    }


def _fill(fill, seeds):
    return {
        "first": fill.first,
        "last": fill.last,
        "lb": figure_text(fill.lb, 2, "lb"),
        "is_part": fill.is_part,
        "parts": [
            {"name": _with_lot(seed), "lb": figure_text(lb, 2, "lb")}
            for seed, lb in zip(seeds, fill.parts_lb, strict=True)
        ],
    }


def _with_lot(seed):
    return f"{seed.name}, lot {seed.lot_name}" if seed.lot_name else seed.name


def _seed_lines(sheet):
    """What is asked for when it is recorded, each lot or item once, in the order of the sheet.

    `planned_lb` is text that a person can leave as it stands; None where nobody knows.
    """
    found = {}
    for seed in sheet.seeds:
        thing = {
            "lot_id": seed.lot and seed.lot.pk,
            "species_id": seed.species.pk if seed.species and not seed.lot else None,
            "blend_id": seed.blend.pk if seed.blend and not seed.lot else None,
        }
        found.setdefault(
            tuple(thing.values()),
            thing
            | {
                "name": _with_lot(seed),
                "box": seed.box,
                "planned_lb": None if seed.lb is None else f"{seed.lb:.2f}",
            },
        )
    return list(found.values())


def _settings(box):
    lines = []
    if box.last is not None:
        gear = f", gear {box.last.gear}" if box.last.gear else ""
        how = "calibrated" if box.last.is_calibrated else "as planted"
        rate = figure_text(box.last.lb_per_acre, 2, "lb/ac")
        what = "this blend" if box.last.is_same else box.last.what
        told = ", ".join(filter(None, [f"{how} {day(box.last.on)}", what, rate]))
        lines.append({"label": "Last time", "setting": f"{box.last.setting}{gear}", "told": told})
    fitted = box.fitted
    if fitted is not None and fitted.setting is not None:
        within = (
            ""
            if fitted.low is None
            else f"90 % sure of {figure_text(fitted.low, 1)} to {figure_text(fitted.high, 1)}. "
        )
        lines.append(
            {
                "label": "For this rate",
                "setting": figure_text(fitted.setting, 1),
                "told": f"{within}{fitted.basis}",
            }
        )
    return lines


def _catch(box):
    whole = figure_text(box.catch_g, 0, "g")
    if whole is None:
        return None
    return {
        "whole": whole,
        "row": figure_text(box.catch_row_g, 1, "g"),
        "course": figure_text(box.course_ft, 0, "ft"),
    }


def _depth(depth):
    return {
        "depth": f"{depth.low_in:g} to {depth.high_in:g} in",
        "species": [str(each) for each in depth.species],
    }


def _soil(sheet):
    if sheet.soil_temp_f is None:
        return None
    return {
        "from": f"{sheet.soil_temp_f:g} °F or warmer",
        "species": [str(each) for each in sheet.soil_temp_of],
    }


def _inoculant(inoculant):
    lot = inoculant.lot
    return {
        "group": str(inoculant.group),
        "seed": ", ".join(str(each) for each in inoculant.species),
        "lb": figure_text(inoculant.lb, 2, "lb"),
        "lot": "" if lot is None else str(lot),
        "trouble": inoculant.trouble,
    }
