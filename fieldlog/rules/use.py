"""What is eaten down within its first weeks wants less of what is eaten first, or more ground."""

from fieldlog.rules.described import A_STAND, Proposed, Rule, threshold
from plots.calc.described import COMMON_PRACTICE

_MEASURES = {
    "use_pct": "of the growth was eaten",
    "height_removed_pct": "of the height was gone",
    "bitten_pct": "of the stems were bitten",
}


def speaks(seen, thresholds):
    """A thought for the next blend. Weight goes before height, and height before stems."""
    for reading in reversed(seen):
        if reading.age_days is None or not 0 <= reading.age_days <= thresholds["within_days"]:
            continue
        for name, words in _MEASURES.items():
            value = reading.figure(name)
            if value is not None and value > thresholds[name]:
                first = (reading.values.get("species") or {}).get("name")
                eaten = f" {first} went first." if first else ""
                return Proposed(
                    reading.id,
                    f"{reading.told(name, thresholds[name])} % {words} by day {reading.age_days} after planting, more than "
                    f"{thresholds[name]:g} %.{eaten} For the next blend: more of something that is less liked, which "
                    "spares the rest while it is small, or more acres.",
                )
    return None


def _share(name, label):
    return threshold(name, label, 60, "%", 0, 100)


HEAVY_USE = Rule(
    key="heavy_use",
    title="Eaten down too soon",
    summary="More than this is gone within the first weeks: something less liked in the next blend, or more acres.",
    looks_at=A_STAND,
    kinds=("browse",),
    thresholds=(
        _share("use_pct", "Used, of the growth, by weight"),
        _share("height_removed_pct", "Height removed"),
        _share("bitten_pct", "Stems bitten"),
        threshold("within_days", "Within this many days of planting", 31, "days", 1, 365, is_whole=True),
    ),
    speaks=speaks,
    sources=(COMMON_PRACTICE,),
)
