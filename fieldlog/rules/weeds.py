"""Weeds that are about to make seed are pulled before they do."""

from datetime import timedelta

from fieldlog.rules.described import A_READING, Proposed, Rule, day_words, threshold
from plots.calc.described import COMMON_PRACTICE, Source

PULL = Source(
    "When the time comes to hand pull weeds",
    "Penn State Extension",
    "2017",
    "http://integratedweedmanagement.org/index.php/2017/08/11/when-the-time-comes-to-hand-pull-weeds/",
    note="Horseweed and pigweeds drop hundreds of thousands of seeds a plant; over 6 inches they mostly outgrow herbicides.",
)
HEADS = Source(
    "North Carolina cotton: pigweed, 6 key points for hand-weeding",
    "carried by a farm-news site",
    "2015",
    "https://agfaxweedsolutions.com/2015/07/14/north-carolina-cotton-pigweed-6-key-points-for-hand-weeding/",
    note="Viable seed within a week after a seed head of Palmer amaranth shows. It stands here for weeds that are quick; the "
    "days are ours.",
)
HEIGHT = Source(
    "Weed science article on spraying after emergence",
    "Purdue University Extension",
    "2011",
    "http://www.btny.purdue.edu/weedscience/2011/Postemergence11.html",
    note="Most labels want broadleaf weeds no taller than 4 to 6 inches. A part was read; the title is in our words.",
)

_WORDS = {"bud": "in bud", "bloom": "in bloom", "seed": "in seed"}
_SEED_WORDS = {"green": "with green seed", "ripe": "with ripe seed"}
_WHERE = {"inside": "inside the plot", "edge": "on the plot's edge", "beside": "beside the plot"}


def speaks(seen, thresholds):
    """Pull, by a day that the stage sets."""
    [reading] = seen
    values = reading.values
    stage, seed_set, height = values.get("stage"), values.get("seed_set"), values.get("height_in")
    how_far = _how_far(stage, seed_set)
    is_low = height is not None and height < thresholds["height_in"]
    if how_far is None or is_low:
        return None
    by = reading.on + timedelta(days=int(thresholds[f"{how_far}_days"]))
    name = (values.get("species") or {}).get("name") or "A weed"
    tall = f", {height:g} in tall" if height is not None else ""
    words = _SEED_WORDS.get(seed_set) or _WORDS[stage]
    where = _WHERE.get(values.get("where"), "at the plot")
    before = "before the seed drops" if how_far == "ripe" else "before it sets seed"
    if how_far == "seed":
        before = "before the seed is ripe"
    return Proposed(
        reading.id,
        f"{name} {words}{tall}, {where}{_patch(reading)}: pull it {before}, by {day_words(by)}.",
        "pull",
        by,
    )


def _how_far(stage, seed_set):
    """Which of the days counts; None where there is no seed to prevent, or none is left on the plant."""
    if stage == "dead" or seed_set == "shed":
        return None
    if seed_set in ("green", "ripe"):
        return {"green": "seed", "ripe": "ripe"}[seed_set]
    return stage if stage in _WORDS else None


def _patch(reading):
    area, plants = reading.figure("patch_ft2"), reading.values.get("plants")
    said = [f"a patch of {area:,.0f} ft²"] if area is not None else []
    said += [f"{plants:,} plant{'' if plants == 1 else 's'}"] if plants is not None else []
    return f" ({', '.join(said)})" if said else ""


def _days(name, label, default):
    return threshold(name, label, default, "days", 0, 60, is_whole=True)


PULL_WEEDS = Rule(
    key="pull_weeds",
    title="Pull weeds before they seed",
    summary="A patch in bud, in bloom or with seed on the plant, tall enough that spraying comes too late: pull it by hand.",
    looks_at=A_READING,
    kinds=("weeds",),
    thresholds=(
        threshold(
            "height_in",
            "Speak from this height on",
            12,
            "in",
            0,
            400,
            help="Ours: well beyond what most labels still take. Where the height is not known it speaks too.",
        ),
        _days("bud_days", "Days to pull it, in bud", 7),
        _days("bloom_days", "Days to pull it, in bloom", 3),
        _days("seed_days", "Days to pull it, seed forming", 2),
        _days("ripe_days", "Days to pull it, seed ripe", 1),
    ),
    speaks=speaks,
    how={
        "pull": "Pull it with the root, after rain where you can wait for it. Where seed has formed, cut the heads into a "
        "closed bag first and take them off the ground. Gloves and long sleeves: the sap of some weeds burns the skin. If "
        "you would rather spray, the label says up to which height; beyond it spraying seldom works."
    },
    tools={"pull": "Gloves, long sleeves, bags that close, a spade"},
    sources=(PULL, HEADS, HEIGHT, COMMON_PRACTICE),
)
