"""Reference evapotranspiration from temperatures alone: what a clipped, well-watered lawn would use."""

import datetime
from typing import NamedTuple

import numpy as np

from plots.calc.checks import refuse_where
from plots.calc.described import Quantity, Source, described
from plots.calc.units import M_PER_IN, f_to_c

SOLAR_MJ_PER_M2_MIN = 0.0820
MM_PER_MJ_PER_M2 = 0.408
"""Water that a megajoule on a square metre evaporates."""

_MM_PER_IN = 1000 * M_PER_IN
_MIN_PER_DAY = 24 * 60
_DAYS = 365  # of the formula, in leap years too

FAO_RADIATION = Source(
    "Crop evapotranspiration, Irrigation and Drainage Paper 56, equation 21 and example 8",
    "FAO",
    "1998",
    "https://github.com/woodcrafty/PyETo",
    note="Seen as quoted by open-source test suites, not on the page.",
)
FAO_TEMPERATURES = Source(
    "Crop evapotranspiration, Irrigation and Drainage Paper 56, equation 52 and example 20",
    "FAO",
    "1998",
    "https://ncl.ucar.edu/Document/Functions/Crop/refevt_hargreaves_fao56.shtml",
    note="Seen as quoted by NCAR's documentation, not on the page.",
)

ET_NOTES = [
    "From temperatures alone; wind and dry air are not in it, and the error of a day is often a fifth or more "
    "(from memory). Sums of a week or more are better.",
    "Other formulas carry the name Hargreaves too and differ by tens of percent.",
    "A crop uses more or less than this reference, by its coefficient.",
]

_highest_c = Quantity("highest_c", "Highest of the day", "°C", least=-73, most=66, example=26.6)
_lowest_c = Quantity("lowest_c", "Lowest of the day", "°C", least=-73, most=66, example=14.8)
_latitude = Quantity(
    "latitude_deg",
    "Latitude",
    "degrees",
    least=-90,
    most=90,
    example=45.7,
    help="South of the equator below 0.",
)


class DayOfWater(NamedTuple):
    """Reference evapotranspiration of a day and the radiation behind it."""

    reference_in: float
    reference_mm: float
    radiation_mj_per_m2: float
    day_of_year: float


@described(
    title="Sunlight above the air",
    topic="soil",
    inputs=[
        _latitude,
        Quantity(
            "day_of_year",
            "Day of the year",
            least=1,
            most=366,
            is_whole=True,
            example=196,
            help="1 January is 1.",
        ),
    ],
    answer=Quantity("radiation_mj_per_m2", "Radiation of the day", "MJ/m²", decimals=1),
    formula="1440 ÷ π × 0.0820 × dr × (ω sin φ sin δ + cos φ cos δ sin ω), FAO-56 equation 21",
    sources=[FAO_RADIATION],
    notes=[
        "After February the days of a leap year are one later.",
        "Beyond 55 degrees it is less exact (NCAR).",
    ],
)
def extraterrestrial_radiation(latitude_deg, day_of_year):
    """Daily radiation on a level surface above the atmosphere, Ra of FAO-56.

    φ is the latitude and δ the sun's declination in radians, dr the inverse relative distance to the sun and ω
    the hour angle of sunset: 0 where the sun stays down, π where it stays up.

    Examples
    --------
    >>> extraterrestrial_radiation([-20, 90, None], 246).round(1)
    array([32.2, 13.9,  nan])
    """
    latitude = np.radians(latitude_deg)
    angle = 2 * np.pi * day_of_year / _DAYS
    nearness = 1 + 0.033 * np.cos(angle)
    declination = 0.409 * np.sin(angle - 1.39)
    sunset = np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1, 1))
    height = sunset * np.sin(latitude) * np.sin(declination)
    height = height + np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    return _MIN_PER_DAY / np.pi * SOLAR_MJ_PER_M2_MIN * nearness * height


@described(
    title="Reference evapotranspiration from radiation",
    topic="soil",
    inputs=[
        _highest_c,
        _lowest_c,
        Quantity("radiation_mj_per_m2", "Radiation above the air", "MJ/m²", least=0, most=60, example=40.6),
    ],
    answer=Quantity("reference_mm", "Reference evapotranspiration", "mm/day", decimals=1),
    formula="0.0023 × (mean + 17.8) × √(highest − lowest) × 0.408 × radiation, never below 0",
    sources=[FAO_TEMPERATURES],
    notes=[
        "The 0.408 turns megajoules into millimetres; without it the answer is 2.45 times too big.",
        *ET_NOTES,
    ],
)
def reference_evapotranspiration_mm(highest_c, lowest_c, radiation_mj_per_m2):
    """Reference evapotranspiration by FAO-56 equation 52, ETo.

    Examples
    --------
    >>> reference_evapotranspiration_mm([26.6, None], 14.8, 40.6).round(2)
    array([5.04,  nan])
    """
    _refuse_turned_round(highest_c, lowest_c, "highest_c", "°C")
    mean_c = (highest_c + lowest_c) / 2
    water_mm = MM_PER_MJ_PER_M2 * radiation_mj_per_m2
    return np.maximum(0.0023 * (mean_c + 17.8) * np.sqrt(highest_c - lowest_c) * water_mm, 0)


@described(
    title="Water that a day takes",
    topic="soil",
    inputs=[
        Quantity("highest_f", "Highest of the day", "°F", least=-100, most=150, example=80),
        Quantity("lowest_f", "Lowest of the day", "°F", least=-100, most=150, example=58),
        _latitude,
        Quantity("on", "Day", kind="date", example=datetime.date(2027, 7, 15)),
    ],
    answers=[
        Quantity("reference_in", "Reference evapotranspiration", "in/day", decimals=2),
        Quantity("reference_mm", "Reference evapotranspiration", "mm/day", decimals=1),
        Quantity("radiation_mj_per_m2", "Radiation above the air", "MJ/m²", decimals=1),
        Quantity("day_of_year", "Day of the year", is_whole=True, decimals=0),
    ],
    formula="0.0023 × (mean °C + 17.8) × √(highest − lowest in °C) × 0.408 × radiation of latitude and day",
    sources=[FAO_TEMPERATURES, FAO_RADIATION],
    notes=ET_NOTES,
)
def water_of_a_day(highest_f, lowest_f, latitude_deg, on):
    """Reference evapotranspiration of a day from its temperatures, the latitude and the date.

    Examples
    --------
    >>> from datetime import date
    >>> float(water_of_a_day(80, 58, 45.7, date(2027, 7, 15)).reference_mm.round(1))
    5.1
    >>> float(water_of_a_day(80, 58, 45.7, None).reference_mm)
    nan
    """
    _refuse_turned_round(highest_f, lowest_f, "highest_f", "°F")
    day_of_year = np.nan if on is None else on.timetuple().tm_yday
    radiation = extraterrestrial_radiation(latitude_deg, day_of_year)
    water_mm = reference_evapotranspiration_mm(f_to_c(highest_f), f_to_c(lowest_f), radiation)
    return DayOfWater(water_mm / _MM_PER_IN, water_mm, radiation, day_of_year)


def _refuse_turned_round(highest, lowest, field, unit):
    refuse_where(
        highest < lowest,
        field,
        f"Highest of the day is {{0:g}} {unit}; accepted is its lowest, {{1:g}} {unit}, or more",
        highest,
        lowest,
    )
