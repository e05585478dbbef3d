"""Temperatures by an infrared thermometer: what a mulch keeps off the ground."""

from fieldlog.kinds.described import Kind, Step
from fieldlog.kinds.parts import figure
from plots.calc.described import COMMON_PRACTICE

_ODD_BELOW, _ODD_ABOVE, _ODD_IN_SHADE_ABOVE = 10, 160, 120
"""Ours. What lies bare in the sun is hot; a leaf that lives and ground under a mulch hardly are. [°F]"""


def figures(values, settings, facts):
    """The gap between the top of the mulch, or bare soil, and the ground under it. [°F]"""
    surface, under, leaf, bare = (values.get(each) for each in ("surface_f", "under_f", "leaf_f", "bare_f"))
    good = {"expected_low": settings.get("good_gap_f"), "rests_on": str(COMMON_PRACTICE)}
    return [
        _gap("mulch_gap_f", "Top of the mulch to the ground under it", surface, under, **good),
        _gap("bare_gap_f", "Bare soil to the ground under the mulch", bare, under),
        _gap("leaf_gap_f", "Bare soil to a leaf", bare, leaf),
    ]


def _gap(name, label, warm, cool, **how):
    if warm is None or cool is None:
        return figure(name, label, None, "°F", remark="one of the two was not read", **how)
    return figure(name, label, round(warm - cool, 1), "°F", **how)


def _temperature(name, label, doubt_above=_ODD_ABOVE):
    return Step(
        name,
        label,
        unit="°F",
        least=-60,
        most=250,
        doubt_below=_ODD_BELOW,
        doubt_above=doubt_above,
        doubt=f"{label} at {{value}} °F?",
    )


TEMPERATURE = Kind(
    key="temperature",
    title="Temperature",
    summary="Mulch, ground under it, leaf and bare soil, by infrared thermometer.",
    tools="Infrared thermometer",
    instructions="Hold the thermometer a hand's width off and straight down. Part the mulch for the ground under it and "
    "read at once, before the air has warmed it. Give each place its lowest steady figure.",
    settings=(
        Step(
            "good_gap_f",
            "Gap that a good mulch makes by mid-morning",
            unit="°F",
            least=0,
            most=100,
            default=40,
            help="110 °F on top and 70 °F below at nine in the morning is common on a good mulch (common practice).",
        ),
    ),
    steps=(
        _temperature("surface_f", "Top of the mulch"),
        _temperature("under_f", "Ground under the mulch", _ODD_IN_SHADE_ABOVE),
        _temperature("leaf_f", "A leaf in the sun", _ODD_IN_SHADE_ABOVE),
        _temperature("bare_f", "Bare soil"),
    ),
    figures=figures,
    cautions=("heat",),
    sources=(COMMON_PRACTICE,),
)
