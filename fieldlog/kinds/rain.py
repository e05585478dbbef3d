"""What the gauge and the high–low thermometer say since they were last looked at."""

from fieldlog.kinds.described import Kind, Step
from fieldlog.kinds.parts import figure
from plots.calc.described import DEFINITION


def figures(values, settings, facts):
    """Rain, rain a day, and the span of temperatures since the last look. [in, in/day, °F]"""
    rain, days = values.get("gauge_in"), values.get("days")
    high, low = values.get("high_f"), values.get("low_f")
    is_crossed = None not in (high, low) and low > high
    span_remark = "the low is above the high" if is_crossed else ""
    return [
        figure("rain_in", "Rain", rain, "in", decimals=2, remark="" if rain is not None else "not read"),
        figure(
            "rain_in_per_day",
            "Rain a day",
            rain / days if rain is not None and days else None,
            "in/day",
            decimals=2,
            remark=_why_no_rate(rain, days),
        ),
        figure("high_f", "High", None if is_crossed else high, "°F", remark=span_remark),
        figure("low_f", "Low", None if is_crossed else low, "°F", remark=span_remark),
    ]


def _why_no_rate(rain, days):
    if rain is None:
        return "not read"
    return "" if days else "since when is not known"


def _temperature(name, label):
    return Step(
        name,
        label,
        unit="°F",
        least=-80,
        most=160,
        doubt_below=-30,
        doubt_above=120,
        doubt=f"{label} {{value}} °F?",
    )


RAIN = Kind(
    key="rain",
    title="Rain and temperature",
    summary="Rain gauge, and the thermometer that keeps the high and the low.",
    instructions="Read the gauge at eye level at the bottom of the curve, then empty it. Read high and low, then set the "
    "thermometer back. Nothing in the gauge is 0; if it lay over or was full to the brim, skip it and write why.",
    steps=(
        Step(
            "gauge_in",
            "Rain in the gauge",
            unit="in",
            least=0,
            most=60,
            doubt_above=8,
            doubt="{value} in of rain?",
        ),
        Step(
            "days",
            "Days since it was emptied",
            unit="days",
            least=0,
            most=366,
            is_whole=True,
            doubt_above=60,
            doubt="{value} days?",
        ),
        _temperature("high_f", "High"),
        _temperature("low_f", "Low"),
    ),
    figures=figures,
    sources=(DEFINITION,),
)
