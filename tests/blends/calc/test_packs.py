import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc.packs import packs_needed


@given(st.floats(0.01, 1e5), st.floats(0.5, 2000))
def test_packs_hold_the_pounds_and_one_less_would_not(lb, pack_lb):
    packs = packs_needed(lb, pack_lb)
    assert packs * pack_lb >= lb - 0.001 - 1e-9
    assert (packs - 1) * pack_lb < lb


@pytest.mark.parametrize(
    ("lb", "packs"), [(0, 0), (0.001, 0), (0.01, 1), (100, 2), (100.00000000001, 2), (100.01, 3), (99.99, 2)]
)
def test_float_noise_buys_no_pack(lb, packs):
    assert packs_needed(lb, 50) == packs


def test_an_unknown_pack_is_unknown_unless_nothing_is_bought():
    assert np.isnan(packs_needed(10, None))
    assert np.isnan(packs_needed(None, 50))
    assert packs_needed(0, None) == 0


@pytest.mark.parametrize(
    ("lb", "pack_lb", "words"),
    [(-1, 50, "-1 lb to buy; accepted is 0 or more"), (10, 0, "pack of 0 lb; accepted is more than 0")],
)
def test_packs_that_cannot_be_are_refused(lb, pack_lb, words):
    with pytest.raises(ValueError, match=words):
        packs_needed(lb, pack_lb)
