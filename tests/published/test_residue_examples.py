"""Nitrogen, C:N, weeds, residue cover and decay against worked examples; `examples.py` says how they are kept."""

import pytest

from blends.calc import compost, cover, nitrogen, residue, weeds
from plots.calc.units import kg_per_ha_to_lb_per_acre
from tests.published.examples import ROWS, assert_published, inputs_of


def available(total_n_lb_per_acre, key):
    fraction = next(one for one in nitrogen.FRACTIONS if one.key == key)
    band = nitrogen.available_nitrogen(total_n_lb_per_acre, fraction.low, fraction.high)
    assert band.low_lb_per_acre == band.high_lb_per_acre
    return band.low_lb_per_acre


def threshold(key):
    return next(one for one in weeds.THRESHOLDS if one.key == key).lb_per_acre


def cover_of_one(am_cm2_per_g, mass_kg_per_ha):
    return cover.residue_cover([kg_per_ha_to_lb_per_acre(mass_kg_per_ha)], [am_cm2_per_g])


CALCULATIONS = {
    "N-01": lambda biomass_lb_per_acre, n_pct: nitrogen.residue_nitrogen_lb_per_acre(
        biomass_lb_per_acre, n_pct
    ),
    "N-02": lambda total_n_lb_per_acre: available(total_n_lb_per_acre, "tilled-north-dakota"),
    "N-03": lambda total_n_lb_per_acre: available(total_n_lb_per_acre, "no-till-north-dakota"),
    "N-04": lambda n_pct: nitrogen.plant_available_nitrogen(1, n_pct).lb_per_short_ton,
    "N-05": lambda n_pct: nitrogen.plant_available_nitrogen(1, n_pct).lb_per_short_ton,
    "N-06": lambda biomass_lb_per_acre, n_pct: (
        nitrogen.plant_available_nitrogen(biomass_lb_per_acre, n_pct).lb_per_acre
    ),
    "N-07": lambda cost_per_acre, pan_lb_per_acre: nitrogen.usd_per_lb_available_nitrogen(
        cost_per_acre, pan_lb_per_acre
    ),
    "CN-01": lambda mass_lb, c_pct, n_pct: residue.residue_cn_ratio(mass_lb, c_pct, n_pct),
    "CN-02": compost.compost_moisture_pct,
    "CN-03": lambda q1_kg, m1_pct, m2_pct, goal_pct: compost.compost_second_lb_for_moisture(
        q1_kg, m1_pct, m2_pct, goal_pct
    ),
    "CN-04": lambda mass_lb, cn, c_pct: residue.residue_cn_from_ratios(mass_lb, cn),
    "CN-05": lambda q1_kg, m1_pct, c1_pct, n1_pct, m2_pct, c2_pct, n2_pct, goal_cn: (
        compost.compost_second_lb_for_cn(q1_kg, m1_pct, c1_pct, n1_pct, m2_pct, c2_pct, n2_pct, goal_cn)
    ),
    "CN-06": lambda mass_lb, c_pct, n_pct: residue.residue_cn_ratio(mass_lb, c_pct, n_pct),
    "WEED-01": lambda mg_per_ha: kg_per_ha_to_lb_per_acre(1000 * mg_per_ha),
    "WEED-02": lambda kg_per_ha: kg_per_ha_to_lb_per_acre(kg_per_ha),
    "WEED-03": lambda b, mai: weeds.emergence_fraction(b, mai),
    "COV-04": cover_of_one,
    "COV-05": cover_of_one,
    "COV-06": lambda am_cm2_per_g, mass_kg_per_ha: cover.residue_cover(
        [kg_per_ha_to_lb_per_acre(kg) for kg in mass_kg_per_ha], am_cm2_per_g
    ),
    "DEC-01": lambda k_per_day: cover.half_life_days(k_per_day),
    "DEC-02": lambda k_per_day: cover.half_life_days(k_per_day),
    "DEC-03": lambda m0_lb_per_acre, k_per_day, days: cover.residue_left_lb_per_acre(
        m0_lb_per_acre, k_per_day, days
    ),
}

HAVE_THEIR_OWN_TEST = set()


@pytest.mark.parametrize("name", CALCULATIONS)
def test_calculation_gives_the_published_figure(name):
    assert_published(name, lambda **inputs: float(CALCULATIONS[name](**inputs)))


def test_thresholds_are_the_published_masses_in_pounds():
    """WEED-01 and -02, which the weed thresholds are made of."""
    assert threshold("weed-biomass-75") == kg_per_ha_to_lb_per_acre(1000 * inputs_of("WEED-01")["mg_per_ha"])
    assert threshold("rye-control") == kg_per_ha_to_lb_per_acre(inputs_of("WEED-02")["kg_per_ha"])


def test_cover_uses_the_published_coefficients():
    assert cover.COVER_CM2_PER_G["wheat"] == inputs_of("COV-04")["am_cm2_per_g"]
    assert cover.COVER_CM2_PER_G["maize"] == inputs_of("COV-05")["am_cm2_per_g"]
    assert [cover.COVER_CM2_PER_G[each] for each in ("rye", "hairy vetch")] == inputs_of("COV-06")[
        "am_cm2_per_g"
    ]


def test_decay_bands_are_the_published_ones():
    """DEC-01 to -03 use ends of the two published bands."""
    assert cover.LASTING_DECAY.low == inputs_of("DEC-01")["k_per_day"]
    assert cover.DECAY.high == inputs_of("DEC-02")["k_per_day"]
    assert cover.LASTING_DECAY.high == inputs_of("DEC-03")["k_per_day"]


@pytest.mark.parametrize(
    ("name", "ratios"), [("CN-04", [37, 11]), ("CN-06", [42 / 1.1, 40 / 3.5])], ids=["CN-04", "CN-06"]
)
def test_mean_of_the_ratios_is_not_the_ratio_of_the_mixture(name, ratios):
    """Both rows' notes say that the mean, which a handout and a recipe use, is wrong."""
    mass_lb = inputs_of(name)["mass_lb"]
    mean = sum(mass * ratio for mass, ratio in zip(mass_lb, ratios, strict=True)) / sum(mass_lb)
    assert mean > 1.3 * float(ROWS[name]["expected"])
