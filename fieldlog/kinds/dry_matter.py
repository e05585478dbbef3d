"""Dry matter clipped inside frames; the dry weights may come days later."""

from fieldlog.calc.clipping import (
    FIELD_DAY,
    FRAME_SIZES,
    MAINE,
    dry_lb_on_plot,
    dry_lb_per_acre,
    dry_lb_per_acre_from_fresh,
    dry_matter_pct,
)
from fieldlog.kinds.answers import CHOICE, FLAG, ROWS
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import figure, known, reckoned, setting, species_step

WAITS = "waits for the dry weights"
NO_BAG = "the weight of an empty bag is missing; it is 0 where the scale was set to zero with the bag on it"


def figures(values, settings, facts):
    """Dry matter of the stand and of what was clipped. [lb/acre, % of the fresh weight, lb]

    Where some frames were dried and others not, all are taken by their fresh weights at the dry matter of the dried.
    """
    rows = values.get("frames") or []
    frame_ft2 = settings.get("frame_ft2")
    pct, why_pct = _dry_share(rows)
    stand, why = _stand(rows, pct, frame_ft2)
    dry_lb_acre = known(stand.dry_lb_per_acre) if stand else None
    found = [
        figure(
            "dry_lb_per_acre",
            "Dry matter",
            dry_lb_acre,
            "lb/acre",
            error=stand.standard_error_lb_per_acre if stand else None,
            remark=why,
        ),
        figure("dry_matter_pct", "Dry of the fresh weight", pct, "%", decimals=1, remark=why_pct),
        figure("frames", "Frames", len(rows) or None, remark="" if rows else "no frame was clipped"),
    ]
    if dry_lb_acre is not None and facts.acres is not None:
        on_plot, _ = reckoned(dry_lb_on_plot, dry_lb_acre, facts.acres)
        found.append(figure("dry_lb_on_plot", "Dry matter on the plot", on_plot, "lb"))
    return found


def _stand(rows, pct, frame_ft2):
    """The stand, or None and why."""
    if not rows:
        return None, "no frame was clipped"
    dry = [_net(row, "dry_g") for row in rows]
    if None not in dry:
        return reckoned(dry_lb_per_acre, dry, frame_ft2)
    if wrong := next((each for each in map(_wrong, rows) if each), ""):
        return None, wrong
    fresh = [_net(row, "fresh_g") for row in rows]
    if any(map(_lacks_bag, rows)):
        return None, NO_BAG
    if pct is None or pct <= 0:
        return None, WAITS
    if None in fresh:
        return None, "a frame was neither dried nor weighed fresh"
    stand, why = reckoned(dry_lb_per_acre_from_fresh, fresh, pct, frame_ft2)
    dried = len(dry) - dry.count(None)
    return stand, why or f"{dried} of {len(rows)} frames dried; the others by their fresh weights"


def _dry_share(rows):
    """Dry matter of the frames that were weighed both fresh and dry, together. [%]"""
    both = [row for row in rows if _net(row, "fresh_g") and _net(row, "dry_g") is not None]
    if not both:
        return None, next((each for each in map(_wrong, rows) if each), _why_no_share(rows))
    fresh, dry = (sum(_net(row, name) for row in both) for name in ("fresh_g", "dry_g"))
    value, why = reckoned(dry_matter_pct, fresh, dry, 0)
    return known(value), why


def _why_no_share(rows):
    if any(map(_lacks_bag, rows)):
        return NO_BAG
    return WAITS if any(not row.get("is_empty") for row in rows) else ""


def _lacks_bag(row):
    was_weighed = row.get("fresh_g") is not None or row.get("dry_g") is not None
    return was_weighed and row.get("tare_g") is None and not row.get("is_empty")


def _net(row, name):
    """The weight without the bag; 0 of an empty frame, None where it is not known or cannot be. [g]"""
    if row.get("is_empty"):
        return 0
    if row.get(name) is None or row.get("tare_g") is None or _wrong(row):
        return None
    return row[name] - row["tare_g"]


def _wrong(row):
    """What cannot be about the weights of a frame."""
    fresh, tare, dry = (row.get(name) for name in ("fresh_g", "tare_g", "dry_g"))
    if tare is not None and ((fresh is not None and fresh < tare) or (dry is not None and dry < tare)):
        return "a bag weighs more than the bag with its plants"
    if fresh is not None and dry is not None and dry > fresh:
        return "a frame weighs more dry than fresh"
    return ""


def _weight(name, label, **how):
    return Step(
        name, label, unit="g", least=0, most=100_000, doubt_above=5000, doubt=f"{label}: {{value}} g?", **how
    )


DRY_MATTER = Kind(
    key="dry_matter",
    title="Dry matter",
    summary="Clipped inside frames, weighed fresh and dry.",
    tools="Frame, shears, bags with numbers, scale",
    instructions="Throw the frame blind, three times or more. Clip all that is rooted inside at the ground, weigh it fresh "
    "with its bag, and note what the empty bag weighs. Dry until two weighings agree and add the dry weights later. A frame "
    "with nothing in it counts: mark it as empty.",
    settings=(
        setting(
            "frame_ft2",
            "Ground inside one frame",
            1.92,
            unit="ft²",
            least=0.1,
            most=100,
            help="Of a frame of 1.92 ft², grams × 50 are pounds an acre (about).",
        ),
    ),
    steps=(
        Step(
            "frames",
            "Frames",
            ask=ROWS,
            columns=(
                _weight("fresh_g", "Fresh, with bag"),
                _weight("tare_g", "Empty bag"),
                _weight("dry_g", "Dried, with bag"),
                Step("is_empty", "Nothing in the frame", ask=FLAG),
            ),
            help="The dry weights can be added later. An empty bag is 0 where the scale was set to zero with it.",
            picture="frame",
        ),
        Step(
            "stage",
            "The stand is",
            ask=CHOICE,
            choices=(
                Choice("leafy", "Leafy", help="Before heading or bud."),
                Choice("mature", "Mature", help="From flowering to early seed."),
            ),
        ),
        species_step("Only one species?", help="Skip where all that grew was clipped together."),
    ),
    figures=figures,
    cautions=("heat", "drying"),
    sources=(MAINE, FIELD_DAY, FRAME_SIZES),
)
