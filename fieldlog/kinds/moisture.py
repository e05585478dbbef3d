"""Water in the soil, by its feel in the hand."""

from fieldlog.calc.water import (
    FEEL_CHART,
    FEEL_CLAY,
    FEEL_LOAM,
    FEEL_MONTANA,
    FEELS,
    TEXTURES,
    moisture_by_feel,
)
from fieldlog.kinds.answers import CHOICE
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import figure, known, reckoned


def figures(values, settings, facts):
    """Available water left and what is missing to a full soil, each as a span. [%, in/ft]"""
    texture = values.get("texture") or (facts.texture if facts.texture in TEXTURES else None)
    feel = values.get("feel")
    short, why = reckoned(moisture_by_feel, texture, feel)
    if feel is None:
        why = "the feel was not said"
    elif texture is None:
        why = "the texture is not known"
    return [
        _span("available_pct", "Available water left", "%", 0, short, why),
        _span("depletion_in_per_ft", "Short of full", "in/ft", 1, short, why),
    ]


_ENDS = {
    "available_pct": ("available_low_pct", "available_high_pct"),
    "depletion_in_per_ft": ("depletion_low_in_per_ft", "depletion_high_in_per_ft"),
}


def _span(name, label, unit, decimals, short, why):
    low, high = (known(getattr(short, each)) for each in _ENDS[name]) if short else (None, None)
    if low is None or high is None:
        return figure(name, label, None, unit, decimals=decimals, remark=why)
    return figure(name, label, (low + high) / 2, unit, decimals=decimals, low=low, high=high)


MOISTURE = Kind(
    key="moisture",
    title="Moisture by feel",
    summary="How wet the soil is, squeezed in the hand.",
    tools="Spade or probe",
    instructions="Take a handful from the depth that you note, squeeze it hard several times, then try to press a ribbon out "
    "between thumb and finger. Choose what fits best. Take one reading a depth, at three places or more.",
    is_many=True,
    steps=(
        Step(
            "depth_in",
            "How deep",
            unit="in",
            least=0,
            most=120,
            doubt_above=60,
            doubt="From {value} in deep?",
        ),
        Step(
            "texture",
            "Texture",
            ask=CHOICE,
            choices=tuple(
                Choice(key, label, picture=f"texture_{key}") for key, (label, *_) in TEXTURES.items()
            ),
        ),
        Step(
            "feel",
            "Squeezed hard, it is",
            ask=CHOICE,
            choices=tuple(
                Choice(key, *label.split(": ", 1), picture=f"feel_{key}")
                for key, (label, *_) in FEELS.items()
            ),
        ),
    ),
    figures=figures,
    cautions=("heat",),
    sources=(FEEL_LOAM, FEEL_CLAY, FEEL_CHART, FEEL_MONTANA),
)
