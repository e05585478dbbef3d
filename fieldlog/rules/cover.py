"""Bare ground that gets hot wants more stem in the next blend."""

from fieldlog.rules.described import A_STAND, Proposed, Rule, day_words, threshold
from plots.calc.described import COMMON_PRACTICE, Source

TILL = Source(
    "Residue and tillage management, reduced till (code 345), jobsheet",
    "USDA Natural Resources Conservation Service, Arizona",
    "2014",
    "https://docsbay.net/usda-natural-resources-conservation-service-s2",
    note="At least 30 % of residue is to remain. Read in a copy. That hot ground wants more stem is common practice.",
)


def speaks(seen, thresholds):
    """A thought for the next blend, of the latest cover with the hottest bare soil of the days around it."""
    cover = next((each for each in reversed(seen) if each.figure("cover_pct") is not None), None)
    if cover is None or cover.figure("cover_pct") >= thresholds["least_cover_pct"]:
        return None
    near = [
        each
        for each in seen
        if each.values.get("bare_f") is not None
        and abs((each.on - cover.on).days) <= thresholds["apart_days"]
    ]
    hottest = max(near, key=lambda each: each.values["bare_f"], default=None)
    if hottest is None or hottest.values["bare_f"] <= thresholds["hot_f"]:
        return None
    return Proposed(
        cover.id,
        f"{cover.told('cover_pct', thresholds['least_cover_pct'])} % of the ground was covered on {day_words(cover.on)}, less than "
        f"{thresholds['least_cover_pct']:g} %, and bare soil had {hottest.values['bare_f']:g} °F on "
        f"{day_words(hottest.on)}. For the next blend: more stem, such as a cereal or another grass that stands long.",
    )


THIN_COVER = Rule(
    key="thin_cover",
    title="Too little cover on hot ground",
    summary="Little of the ground is covered and bare soil gets hot: more stem in the next blend.",
    looks_at=A_STAND,
    kinds=("cover", "temperature"),
    thresholds=(
        threshold(
            "least_cover_pct",
            "Ground covered, at least",
            30,
            "%",
            0,
            100,
            help="30 % after planting is the threshold of conservation tillage.",
        ),
        threshold("hot_f", "Bare soil is hot above", 100, "°F", 0, 200, help="Common practice, no source."),
        threshold("apart_days", "Both within this many days", 14, "days", 0, 120, is_whole=True),
    ),
    speaks=speaks,
    sources=(TILL, COMMON_PRACTICE),
)
