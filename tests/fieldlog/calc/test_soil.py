"""Properties and refusals of infiltration, bulk density and soil water. Figures are in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc import soil
from plots.calc.described import BadInput

diameters_in = st.floats(1, 40)


@given(st.floats(0, 12), diameters_in)
def test_volume_for_a_depth_and_back_changes_nothing(depth_in, inside_diameter_in):
    volume_ml = soil.ring_volume_ml(depth_in, inside_diameter_in)
    assert soil.ring_infiltration(volume_ml, inside_diameter_in, 5).depth_in == pytest.approx(depth_in)


@given(st.floats(1, 2000), diameters_in, st.floats(0.1, 600))
def test_twice_the_time_is_half_the_rate_and_twice_the_width_a_quarter_of_the_depth(
    volume_ml, width_in, minutes
):
    first = soil.ring_infiltration(volume_ml, width_in, minutes)
    assert soil.ring_infiltration(volume_ml, width_in, 2 * minutes).rate_in_per_h == pytest.approx(
        first.rate_in_per_h / 2
    )
    assert soil.ring_infiltration(volume_ml, 2 * width_in, minutes).depth_in == pytest.approx(
        first.depth_in / 4
    )


def test_an_untimed_ring_still_has_its_depth():
    reading = soil.ring_infiltration(444, 6, None)
    assert reading.depth_in == pytest.approx(0.958, abs=5e-4)
    assert np.isnan(reading.rate_in_per_h)


@given(st.floats(1, 1000), st.floats(0, 100), st.floats(0, 2))
def test_soil_water_is_on_the_dry_weight(dry_soil_g, tare_g, water):
    wet_g = dry_soil_g * (1 + water) + tare_g
    assert soil.gravimetric_pct(wet_g, dry_soil_g + tare_g, tare_g) == pytest.approx(100 * water, abs=1e-6)


@given(st.floats(0.3, 2.65), st.floats(0, 35), st.floats(1, 200))
def test_depth_of_water_is_that_of_the_water_weighed_in_a_column(bulk_density, gravimetric_pct, depth_cm):
    """A cubic centimetre of water is a gram."""
    volumetric_pct = soil.volumetric_pct(gravimetric_pct, bulk_density)
    grams_per_cm2 = bulk_density * depth_cm * gravimetric_pct / 100
    layer = soil.water_depth(volumetric_pct, depth_cm)
    assert layer.water_mm == pytest.approx(10 * grams_per_cm2)
    assert layer.water_in == pytest.approx(layer.water_mm / 25.4)


@given(st.floats(10, 1000), st.floats(2, 20), st.floats(2, 20))
def test_pores_and_grains_fill_the_core(dry_g, diameter_cm, length_cm):
    core = soil.bulk_density(dry_g, 0, diameter_cm, length_cm)
    volume_cm3 = np.pi * diameter_cm**2 / 4 * length_cm
    grains_cm3 = dry_g / soil.MINERAL_G_PER_CM3
    assert core.porosity_pct == pytest.approx(100 * (volume_cm3 - grains_cm3) / volume_cm3, abs=1e-6)
    if core.bulk_density_g_per_cm3 <= soil.MINERAL_G_PER_CM3:
        assert soil.porosity_pct(core.bulk_density_g_per_cm3) == pytest.approx(core.porosity_pct, abs=1e-9)


@pytest.mark.parametrize(
    "figure",
    [
        soil.infiltration_in_per_h(1, None),
        soil.ring_volume_ml(None, 6),
        soil.porosity_pct(None),
        soil.gravimetric_pct(150, None, 30),
        soil.volumetric_pct(20, None),
        soil.water_depth(None, 50).water_mm,
        soil.bulk_density(420, None, 7, 7).porosity_pct,
    ],
)
def test_a_missing_input_leaves_the_answer_unknown(figure):
    assert np.isnan(figure)


@pytest.mark.parametrize(
    ("refused", "field", "sentence"),
    [
        (
            lambda: soil.ring_infiltration(444, 0, 5),
            "inside_diameter_in",
            "Inside diameter of the ring is 0 in; accepted is a number above 0 in",
        ),
        (
            lambda: soil.gravimetric_pct(120, 130, 30),
            "wet_g",
            "Wet soil, with tin is 120 g; accepted is the dried 130 g or more",
        ),
        (
            lambda: soil.gravimetric_pct(120, 30, 30),
            "dry_g",
            "Dried soil, with tin is 30 g; accepted is above the tin's 30 g",
        ),
        (
            lambda: soil.bulk_density(20, 30, 7, 7),
            "dry_g",
            "Dried soil, with tin is 20 g; accepted is the tin's 30 g or more",
        ),
        (
            lambda: soil.volumetric_pct(90, 1.2),
            "gravimetric_pct",
            "Water by weight is 90 %, by volume 108 %; accepted is at most 100 % by volume",
        ),
        (
            lambda: soil.porosity_pct(3),
            "bulk_density_g_per_cm3",
            "Bulk density is 3 g/cm³; accepted is a number above 0 and at most 2.65 g/cm³",
        ),
    ],
)
def test_refuses_what_cannot_be(refused, field, sentence):
    with pytest.raises(BadInput) as caught:
        refused()
    assert (caught.value.field, caught.value.sentence) == (field, sentence)
