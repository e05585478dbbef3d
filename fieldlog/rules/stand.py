"""A thin stand is counted again; where that says the same it is overseeded."""

from datetime import timedelta

from fieldlog.rules.described import A_STAND, Proposed, Rule, day_words, threshold
from plots.calc.described import COMMON_PRACTICE

FIGURE = "emergence_pct"


def speaks(seen, thresholds):
    """Count again after a first count that is thin, overseed after another one some days later."""
    counted = [
        each
        for each in seen
        if each.figure(FIGURE) is not None
        and each.age_days is not None
        and each.age_days >= thresholds["from_days"]
    ]
    if not counted or not _is_thin(counted[-1], thresholds):
        return None
    last, least = counted[-1], thresholds["least_pct"]
    came_up = (
        f"{last.told(FIGURE, least)} % of the live seed stood on {day_words(last.on)}, day {last.age_days} after planting; "
        f"{least:g} % is the least that you expect"
    )
    before = next(
        (
            each
            for each in reversed(counted[:-1])
            if (last.on - each.on).days >= thresholds["apart_days"] and _is_thin(each, thresholds)
        ),
        None,
    )
    if before is not None:
        was = f"the count of {day_words(before.on)} said {before.told(FIGURE, least)} %"
        return Proposed(last.id, f"{came_up}, and {was}: overseed the thin places.", "overseed")
    due_on = last.on + timedelta(days=int(thresholds["again_days"]))
    return Proposed(last.id, f"{came_up}: count again by {day_words(due_on)}.", "recount", due_on)


def _is_thin(seen, thresholds):
    return seen.figure(FIGURE) < thresholds["least_pct"]


THIN_STAND = Rule(
    key="thin_stand",
    title="Count a thin stand again, or overseed",
    summary="Fewer plants came up of the live seed than you expect: count again, and overseed where a later count says so too.",
    looks_at=A_STAND,
    kinds=("stand",),
    thresholds=(
        threshold("least_pct", "Of the live seed, expect at least", 50, "%", 0, 100),
        threshold(
            "from_days",
            "Believe counts from this day after planting",
            14,
            "days",
            0,
            365,
            is_whole=True,
        ),
        threshold("again_days", "Count again within", 7, "days", 1, 90, is_whole=True),
        threshold("apart_days", "Two counts are two when this far apart", 3, "days", 1, 90, is_whole=True),
    ),
    speaks=speaks,
    how={
        "recount": "Count at five places or more that you pick blind, the same way as before. Dig for seed where nothing "
        "stands: swollen or sprouted seed may still come.",
        "overseed": "Look first why it is thin: crust, slugs, birds, a row that was not sown. What was wrong then is wrong "
        "now. Treated seed is handled as its label says, with gloves, and none of it is left on top of the ground.",
    },
    tools={
        "recount": "Tape or stick of the row's length, or a frame",
        "overseed": "Seed, spreader or drill, scale",
    },
    sources=(COMMON_PRACTICE,),
)
