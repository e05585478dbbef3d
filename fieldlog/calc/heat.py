"""How hot it is for somebody who works in it: the heat index of the US National Weather Service, and its bands."""

from typing import NamedTuple

import numpy as np

from plots.calc.described import PRACTICE, Quantity, Source, described

SUN_ADDS_F = 15
"""What full sun adds at most; the index itself is of shade with a light wind. [°F]"""

FULL_FROM_F = 80
"""From here on the whole regression holds, below it the simple formula. [°F]"""

LEAST_F, MOST_F = 40, 130

EQUATION = Source(
    "The heat index equation",
    "US National Weather Service, Weather Prediction Center",
    "no year",
    "https://www.wpc.ncep.noaa.gov/html/heatindex_equation.shtml",
    note="Rothfusz's regression (1990) on the tables of Steadman (1979).",
)
BANDS_SOURCE = Source(
    "What is the heat index?",
    "US National Weather Service, Amarillo",
    "no year",
    "https://www.weather.gov/ama/heatindex",
    note="The limits of the bands were seen as a quotation. A chart of the Service's office in Tulsa begins danger at 105 "
    "and extreme danger at 130; the lower limits are taken.",
)
MEASURES = Source(
    "Protective measures to take at each risk level",
    "US Occupational Safety and Health Administration",
    "no year",
    "https://www.osha.gov/SLTC/heatillness/heat_index/protective_measures.html",
    note="Water about four cups an hour from 91 °F.",
)
RESTS = Source("When to rest and when to stop: common practice, no source", basis=PRACTICE)


class Band(NamedTuple):
    """A stretch of the heat index: from where, what it is called, and what to do in it."""

    from_f: float
    key: str
    title: str
    does: str


BANDS = (
    Band(
        -np.inf,
        "none",
        "No band",
        "The index gives no warning. Drink as usual. Heavy work and tight clothing can still make somebody ill.",
    ),
    Band(
        80,
        "caution",
        "Caution",
        "Have water at hand and drink a cup every 15 to 20 minutes. Rest in the shade when you want to. Take the first days "
        "of heat slowly.",
    ),
    Band(
        90,
        "extreme_caution",
        "Extreme caution",
        "Drink a cup every 15 to 20 minutes, thirsty or not. Rest in the shade every half hour. Do heavy work early or late. "
        "Do not work alone.",
    ),
    Band(
        103,
        "danger",
        "Danger",
        "Put off what can wait. What cannot: in twos, a quarter of an hour at a time, with as long in the shade or a cooled "
        "cab. Stop at the first headache, cramp, dizziness or sickness.",
    ),
    Band(
        125,
        "extreme_danger",
        "Extreme danger",
        "Stop. Leave the field for the shade or a cooled room.",
    ),
)
"""From mild to worst; each ends where the next begins. [°F]"""

EMERGENCY = (
    "Confused, stumbling, slurred speech, fits or fainting: that is heat stroke. Call 911 (or your own emergency number), "
    "cool the person with water or ice at once, and stay."
)
DEFERS = (
    "Local rules for work in heat, an employer's plan and a doctor's word go before this. Some people are in danger sooner: "
    "new to the heat, ill, older, or on certain medicines."
)


class HeatRisk(NamedTuple):
    """The heat index with the band that it is in, in the sun if that is where the work is."""

    heat_index_f: float
    at_most_f: float
    band: str
    to_do: str


_temp = Quantity(
    "temp_f", "Air temperature in the shade", "°F", least=LEAST_F, most=MOST_F, example=92, decimals=0
)
_humidity = Quantity("humidity_pct", "Relative humidity", "%", least=0, most=100, example=60, decimals=0)
_FORMULA = (
    "½ × (T + 61 + 1.2 × (T − 68) + 0.094 × RH), averaged with T; where that is 80 °F or more: −42.379 + 2.04901523 T + "
    "10.14333127 RH − 0.22475541 T RH − 0.00683783 T² − 0.05481717 RH² + 0.00122874 T² RH + 0.00085282 T RH² − "
    "0.00000199 T² RH²; less (13 − RH) ÷ 4 × √((17 − |T − 95|) ÷ 17) below 13 % from 80 to 112 °F; plus (RH − 85) ÷ 10 × "
    "(87 − T) ÷ 5 above 85 % from 80 to 87 °F"
)
_NOTES = [
    f"For shade and a light wind. Full sun adds up to {SUN_ADDS_F} °F (National Weather Service).",
    "Beyond about 137 °F, where the Service's chart ends, the figure itself means little; the band stands.",
    "Humidity at noon is far below that of the early morning; take both readings at the same time and place.",
]


@described(
    title="Heat index",
    topic="safety",
    inputs=[_temp, _humidity],
    answer=Quantity("heat_index_f", "Heat index", "°F", decimals=0),
    formula=_FORMULA,
    sources=[EQUATION],
    notes=_NOTES,
    cautions=[EMERGENCY, DEFERS],
)
def heat_index_f(temp_f, humidity_pct):
    """How hot the air feels to somebody in the shade.

    Examples
    --------
    >>> heat_index_f([90, 70, None], 60).round()
    array([100.,  70.,  nan])
    """
    simple = 0.5 * (temp_f + 61 + (temp_f - 68) * 1.2 + humidity_pct * 0.094)
    mild = (simple + temp_f) / 2
    return np.where(
        mild < FULL_FROM_F,
        mild,
        _regression(temp_f, humidity_pct)
        - _dry_adjustment(temp_f, humidity_pct)
        + _damp_adjustment(temp_f, humidity_pct),
    )


@described(
    title="Working in the heat",
    topic="safety",
    inputs=[
        _temp,
        _humidity,
        Quantity("in_sun", "In full sun", kind="flag", is_required=False, default=True, example=True),
    ],
    answers=[
        Quantity("heat_index_f", "Heat index in the shade", "°F", decimals=0),
        Quantity("at_most_f", "Where the work is, at most", "°F", decimals=0),
        Quantity("band", "Band", kind="text"),
        Quantity("to_do", "What to do", kind="text"),
    ],
    formula=f"heat index, in full sun {SUN_ADDS_F} °F more; caution from 80, extreme caution from 90, danger from 103, "
    "extreme danger from 125 °F",
    sources=[EQUATION, BANDS_SOURCE, MEASURES, RESTS],
    notes=_NOTES,
    cautions=[EMERGENCY, DEFERS],
)
def heat_risk(temp_f, humidity_pct, in_sun=True):
    """The band of the heat index in which the work would be, and what is usual in it.

    Examples
    --------
    >>> risk = heat_risk(92, 60)
    >>> round(float(risk.heat_index_f)), round(float(risk.at_most_f)), str(risk.band)
    (105, 120, 'Danger')
    >>> str(heat_risk(92, None).band)
    'not known'
    """
    index_f = heat_index_f(temp_f, humidity_pct)
    at_most_f = index_f + np.where(np.asarray(in_sun) == False, 0, SUN_ADDS_F)  # noqa: E712
    is_in = [np.isnan(at_most_f), *(at_most_f >= band.from_f for band in reversed(BANDS))]
    titles, acts = (
        np.select(is_in, ["not known", *(getattr(band, said) for band in reversed(BANDS))], "not known")
        for said in ("title", "does")
    )
    return HeatRisk(index_f, at_most_f, titles, acts)


def heat_table(temps_f, humidities_pct):
    """The heat index of every pair, rounded up, so that what is looked up is never milder than it is.

    Parameters
    ----------
    temps_f, humidities_pct : sequence of float

    Returns
    -------
    list of list of int
        A row a temperature. [°F]

    References
    ----------
    As `heat_index_f`.

    Examples
    --------
    >>> heat_table([90, 92], [40, 60])
    [[91, 100], [94, 105]]
    """
    index = heat_index_f(np.asarray(temps_f, dtype=float)[:, np.newaxis], np.asarray(humidities_pct))
    return np.ceil(index).astype(int).tolist()


def _regression(temp, humidity):
    return (
        -42.379
        + 2.04901523 * temp
        + 10.14333127 * humidity
        - 0.22475541 * temp * humidity
        - 0.00683783 * temp**2
        - 0.05481717 * humidity**2
        + 0.00122874 * temp**2 * humidity
        + 0.00085282 * temp * humidity**2
        - 0.00000199 * temp**2 * humidity**2
    )


def _dry_adjustment(temp, humidity):
    is_dry = (humidity < 13) & (temp >= 80) & (temp <= 112)
    root = np.sqrt(np.maximum(17 - np.abs(temp - 95), 0) / 17)
    return np.where(is_dry, (13 - humidity) / 4 * root, 0)


def _damp_adjustment(temp, humidity):
    is_damp = (humidity > 85) & (temp >= 80) & (temp <= 87)
    return np.where(is_damp, (humidity - 85) / 10 * (87 - temp) / 5, 0)
