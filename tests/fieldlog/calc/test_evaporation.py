"""Properties and refusals of reference evapotranspiration. Figures are checked in tests/published."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from fieldlog.calc.evaporation import (
    SOLAR_MJ_PER_M2_MIN,
    extraterrestrial_radiation,
    reference_evapotranspiration_mm,
    water_of_a_day,
)
from plots.calc.described import BadInput
from plots.calc.units import f_to_c

latitudes = st.floats(-90, 90)
days = st.integers(1, 366)


def radiation_minute_by_minute(latitude_deg, day_of_year):
    """The sun's height summed over the day instead of the closed formula."""
    angle = 2 * np.pi * day_of_year / 365
    latitude, declination = np.radians(latitude_deg), 0.409 * np.sin(angle - 1.39)
    hour_angles = np.linspace(-np.pi, np.pi, 24 * 60 + 1)
    height = np.sin(latitude) * np.sin(declination)
    height = height + np.cos(latitude) * np.cos(declination) * np.cos(hour_angles)
    minutes = np.arange(24 * 60 + 1)
    above = integrate.simpson(np.maximum(height, 0), x=minutes)
    return SOLAR_MJ_PER_M2_MIN * (1 + 0.033 * np.cos(angle)) * above


@given(latitudes, days)
def test_radiation_is_the_sum_of_the_suns_height_over_the_day(latitude_deg, day_of_year):
    assert extraterrestrial_radiation(latitude_deg, day_of_year) == pytest.approx(
        radiation_minute_by_minute(latitude_deg, day_of_year), abs=0.01
    )


@pytest.mark.parametrize(("latitude_deg", "day_of_year"), [(80, 355), (-80, 172), (90, 1), (-90, 180)])
def test_a_sun_that_stays_down_gives_nothing(latitude_deg, day_of_year):
    assert extraterrestrial_radiation(latitude_deg, day_of_year) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("latitude_deg", "day_of_year"), [(70, 172), (-70, 355)])
def test_a_sun_that_stays_up_shines_all_day(latitude_deg, day_of_year):
    assert extraterrestrial_radiation(latitude_deg, day_of_year) > 40


@given(st.floats(-40, 30), st.floats(0, 30), st.floats(0, 45))
def test_evapotranspiration_is_never_below_zero(lowest_c, span_c, radiation):
    assert reference_evapotranspiration_mm(lowest_c + span_c, lowest_c, radiation) >= 0


@given(st.floats(0, 70), st.floats(0, 40), st.floats(-60, 60), st.dates(date(2000, 1, 1), date(2100, 1, 1)))
def test_a_day_by_date_is_the_two_equations_together(lowest_f, span_f, latitude_deg, on):
    day = water_of_a_day(lowest_f + span_f, lowest_f, latitude_deg, on)
    radiation = extraterrestrial_radiation(latitude_deg, on.timetuple().tm_yday)
    assert day.radiation_mj_per_m2 == radiation
    assert day.reference_mm == pytest.approx(
        reference_evapotranspiration_mm(f_to_c(lowest_f + span_f), f_to_c(lowest_f), radiation)
    )
    assert day.reference_in == pytest.approx(day.reference_mm / 25.4)


def test_leap_years_count_the_days_after_february_one_later():
    assert water_of_a_day(80, 58, 45.7, date(2027, 3, 1)).day_of_year == 60
    assert water_of_a_day(80, 58, 45.7, date(2028, 3, 1)).day_of_year == 61


def test_southern_latitudes_have_their_summer_in_december():
    assert extraterrestrial_radiation(-35, 355) > 40 > 20 > extraterrestrial_radiation(-35, 172)


@pytest.mark.parametrize(
    "figure",
    [
        extraterrestrial_radiation(None, 100),
        extraterrestrial_radiation(40, None),
        reference_evapotranspiration_mm(None, 10, 40),
        reference_evapotranspiration_mm(20, 10, None),
        water_of_a_day(80, 58, None, date(2027, 7, 15)).reference_mm,
        water_of_a_day(80, 58, 45, None).reference_in,
    ],
)
def test_a_missing_input_leaves_the_answer_unknown(figure):
    assert np.isnan(figure)


@pytest.mark.parametrize(
    ("refused", "field", "sentence"),
    [
        (
            lambda: reference_evapotranspiration_mm(10, 20, 40),
            "highest_c",
            "Highest of the day is 10 °C; accepted is its lowest, 20 °C, or more",
        ),
        (
            lambda: water_of_a_day(50, 60, 45, date(2027, 7, 15)),
            "highest_f",
            "Highest of the day is 50 °F; accepted is its lowest, 60 °F, or more",
        ),
        (
            lambda: extraterrestrial_radiation(91, 100),
            "latitude_deg",
            "Latitude is 91 degrees; accepted is -90 to 90 degrees",
        ),
        (
            lambda: extraterrestrial_radiation(45, 0),
            "day_of_year",
            "Day of the year is 0; accepted is a whole number from 1 to 366",
        ),
    ],
)
def test_refuses_what_cannot_be(refused, field, sentence):
    with pytest.raises(BadInput) as caught:
        refused()
    assert (caught.value.field, caught.value.sentence) == (field, sentence)
