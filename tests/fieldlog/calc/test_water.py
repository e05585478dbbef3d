"""Properties and refusals of water held, felt and evaporated. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc import water
from plots.calc.described import MEMORY, BadInput

percent = st.floats(0, 100)


@given(st.sampled_from(sorted(water.TEXTURES)), st.sampled_from(sorted(water.FEELS)), st.floats(0, 1))
def test_band_of_the_feel_holds_every_soil_of_its_texture(texture, feel, part):
    short = water.moisture_by_feel(texture, feel)
    _, low, high = water.TEXTURES[texture]
    held = low + part * (high - low)
    for left_pct in (short.available_low_pct, short.available_high_pct):
        depletion = water.depletion_in_per_ft(held, left_pct)
        assert short.depletion_low_in_per_ft - 1e-9 <= depletion <= short.depletion_high_in_per_ft + 1e-9


@pytest.mark.parametrize("texture", water.TEXTURES)
def test_wetter_feel_is_less_short(texture):
    order = ["dry", "slightly_moist", "moist", "wet", "field_capacity"]
    highs = [water.moisture_by_feel(texture, feel).depletion_high_in_per_ft for feel in order]
    assert highs == sorted(highs, reverse=True)
    assert highs[-1] == 0


@pytest.mark.parametrize(("texture", "feel"), [(None, "dry"), ("loam", None), (None, None)])
def test_without_texture_or_feel_depletion_is_unknown(texture, feel):
    short = water.moisture_by_feel(texture, feel)
    assert np.isnan([short.depletion_low_in_per_ft, short.depletion_high_in_per_ft]).all()


@given(percent)
def test_mulch_saves_half_of_its_cover_and_so_half_at_most(cover_pct):
    assert water.mulch_evaporation_cut_pct(cover_pct) == pytest.approx(cover_pct / 2)
    assert water.mulch_evaporation_cut_pct(cover_pct) <= 50


def test_mulch_rule_is_for_evaporation_alone_and_once():
    notes = " ".join(water.mulch_evaporation_cut_pct.calculation.notes)
    assert "Once, and of the evaporation from the soil only" in notes


def test_mulch_rule_says_what_was_not_seen():
    (source,) = water.mulch_evaporation_cut_pct.calculation.sources
    assert "not on the page" in str(source)
    assert "from memory" in str(source)
    assert source.basis != MEMORY


@given(st.floats(10, 60), st.floats(0, 1), st.floats(0.01, 0.3), percent)
def test_evaporable_water_under_mulch_is_that_of_bare_ground_less_the_cut(fc_pct, share, layer_m, cover_pct):
    wp_pct = 0.99 * share * fc_pct
    bare_mm = water.evaporable_water_mm(fc_pct, wp_pct, layer_m, 0)
    mulched_mm = water.evaporable_water_mm(fc_pct, wp_pct, layer_m, cover_pct)
    assert mulched_mm == pytest.approx(bare_mm * (1 - water.mulch_evaporation_cut_pct(cover_pct) / 100))
    assert bare_mm > 0


@pytest.mark.parametrize(
    "figure",
    [
        water.depletion_in_per_ft(1.8, None),
        water.available_water_in(None, 3),
        water.mulch_evaporation_cut_pct(None),
        water.evaporable_water_mm(23, 10, 0.1, None),
        *water.available_water_by_texture(None, 3),
        *water.available_water_by_texture("clay", None),
    ],
)
def test_a_missing_input_leaves_the_answer_unknown(figure):
    assert np.isnan(figure)


@pytest.mark.parametrize(
    ("refused", "field", "sentence"),
    [
        (
            lambda: water.evaporable_water_mm(20, 25, 0.1, 0),
            "wilting_point_pct",
            "Water at wilting point is 25 %; accepted is below field capacity, 20 %",
        ),
        (
            lambda: water.mulch_evaporation_cut_pct(120),
            "cover_pct",
            "Ground under mulch is 120 %; accepted is 0 to 100 %",
        ),
        (
            lambda: water.moisture_by_feel("peat", "dry"),
            "texture",
            "Texture is peat; accepted is coarse, sandy_loam, loam, clay",
        ),
    ],
)
def test_refuses_what_cannot_be(refused, field, sentence):
    with pytest.raises(BadInput) as caught:
        refused()
    assert (caught.value.field, caught.value.sentence) == (field, sentence)
