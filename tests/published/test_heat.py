"""The heat index against the chart of the US National Weather Service.

"Heat index information", National Weather Service, Tulsa, no year, http://www.srh.noaa.gov/tsa/?n=heatindex, read on the
page. The chart has whole degrees and leaves out what lies beyond 137 °F.
"""

import numpy as np
import pytest

from fieldlog.calc.heat import heat_index_f, heat_risk

HUMIDITIES = range(40, 101, 5)
CHART = {
    110: [136],
    108: [130, 137],
    106: [124, 130, 137],
    104: [119, 124, 131, 137],
    102: [114, 119, 124, 130, 137],
    100: [109, 114, 118, 124, 129, 136],
    98: [105, 109, 113, 117, 123, 128, 134],
    96: [101, 104, 108, 112, 116, 121, 126, 132],
    94: [97, 100, 103, 106, 110, 114, 119, 124, 129, 135],
    92: [94, 96, 99, 101, 105, 108, 112, 116, 121, 126, 131],
    90: [91, 93, 95, 97, 100, 103, 106, 109, 113, 117, 122, 127, 132],
    88: [88, 89, 91, 93, 95, 98, 100, 103, 106, 110, 113, 117, 121],
    86: [85, 87, 88, 89, 91, 93, 95, 97, 100, 102, 105, 108, 112],
    84: [83, 84, 85, 86, 88, 89, 90, 92, 94, 96, 98, 100, 103],
    82: [81, 82, 83, 84, 84, 85, 86, 88, 89, 90, 91, 93, 95],
    80: [80, 80, 81, 81, 82, 82, 83, 84, 84, 85, 86, 86, 87],
}
PAIRS = [
    (temp, damp, said) for temp, row in CHART.items() for damp, said in zip(HUMIDITIES, row, strict=False)
]


def damp_adjustment(temp_f, humidity_pct):
    """What the Service's equation adds above 85 % from 80 to 87 °F, and its chart leaves out."""
    is_damp = humidity_pct > 85 and 80 <= temp_f <= 87
    return (humidity_pct - 85) / 10 * (87 - temp_f) / 5 if is_damp else 0


@pytest.mark.parametrize(("temp_f", "humidity_pct", "said_f"), PAIRS)
def test_the_chart_of_the_weather_service(temp_f, humidity_pct, said_f):
    index_f = heat_index_f(temp_f, humidity_pct)
    assert index_f - damp_adjustment(temp_f, humidity_pct) == pytest.approx(said_f, abs=0.6)


def test_the_chart_agrees_with_a_second_one_within_what_both_round():
    """A chart said to be the Service's, carried by rfcafe.com, no year: 94 °F at 85 % is 136 there, 135 in Tulsa's."""
    assert 135 <= round(float(heat_index_f(94, 85))) <= 136


def test_dry_air_is_milder_by_the_first_adjustment():
    """By definition of the adjustment at 95 °F: (13 − 5) ÷ 4 × √(17 ÷ 17) = 2 °F."""
    dry, edge = heat_index_f(95, 5), heat_index_f(95, 13)
    full = -42.379 + 2.04901523 * 95 + 10.14333127 * 5 - 0.22475541 * 95 * 5 - 0.00683783 * 95**2
    full += -0.05481717 * 25 + 0.00122874 * 95**2 * 5 + 0.00085282 * 95 * 25 - 0.00000199 * 95**2 * 25
    assert dry == pytest.approx(full - 2)
    assert dry < edge


@pytest.mark.parametrize(
    ("temp_f", "humidity_pct", "in_sun", "band"),
    [
        (70, 50, False, "No band"),
        (70, 50, True, "Caution"),
        (86, 40, False, "Caution"),
        (86, 40, True, "Extreme caution"),
        (96, 50, False, "Danger"),
        (96, 50, True, "Danger"),
        (100, 60, False, "Extreme danger"),
    ],
)
def test_bands_begin_at_80_90_103_and_125(temp_f, humidity_pct, in_sun, band):
    assert heat_risk(temp_f, humidity_pct, in_sun).band == band


def test_what_is_not_known_has_no_band():
    risk = heat_risk(np.nan, 50)
    assert np.isnan(risk.heat_index_f)
    assert risk.band == risk.to_do == "not known"
