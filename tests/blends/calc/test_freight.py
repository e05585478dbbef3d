import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import freight
from blends.calc.freight import KINDS, freight_usd

USD = st.decimals(0, 100_000, places=2)
POUNDS = st.decimals("0.001", 100_000, places=3)


def test_examples_hold():
    assert doctest.testmod(freight).failed == 0


@pytest.mark.parametrize(
    ("kind", "terms", "usd"),
    [
        ("none", {}, "0.00"),
        ("flat", {"charge_usd": Decimal("45")}, "45.00"),
        ("weight", {"usd_per_lb": Decimal("0.0850")}, "17.00"),
        ("weight", {"usd_per_lb": Decimal("0.0850"), "charge_usd": Decimal(20)}, "20.00"),
        ("value", {"pct": Decimal("6.5")}, "5.72"),
        ("value", {"pct": Decimal("6.5"), "charge_usd": Decimal(5)}, "5.72"),
        ("value", {"pct": Decimal("6.5"), "free_from_usd": Decimal("88.00")}, "0.00"),
        ("value", {"pct": Decimal("6.5"), "free_from_usd": Decimal("88.01")}, "5.72"),
        ("flat", {}, None),
        ("weight", {"charge_usd": Decimal(20)}, None),
        ("value", {"charge_usd": Decimal(20)}, None),
        ("", {"charge_usd": Decimal(20)}, None),
    ],
)
def test_200_lb_of_goods_worth_88_usd(kind, terms, usd):
    """By hand: 200 × 0.085 = 17.00; 88 × 6.5 % = 5.72. A least charge alone does not say what freight comes to."""
    assert freight_usd(kind, Decimal("88.00"), 200, **terms) == (usd and Decimal(usd))


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_bought_costs_nothing_to_bring(kind):
    assert freight_usd(kind, Decimal(0), 0, charge_usd=Decimal(45)) == 0


def test_seed_that_is_given_away_is_still_freighted():
    assert freight_usd("flat", Decimal(0), 50, charge_usd=Decimal(45)) == Decimal(45)


@pytest.mark.parametrize("kind", ["value", "weight", "flat"])
def test_free_from_a_value_is_unknown_while_the_value_is(kind):
    terms = {"charge_usd": Decimal(45), "usd_per_lb": Decimal(1), "pct": Decimal(5)}
    assert freight_usd(kind, None, 50, free_from_usd=Decimal(500), **terms) is None


@pytest.mark.parametrize(
    ("kind", "terms", "said"),
    [("mule", {}, "“mule”"), ("flat", {"charge_usd": Decimal(-1)}, "charge is -1; accepted is 0 or more")],
)
def test_what_cannot_be_is_refused(kind, terms, said):
    with pytest.raises(ValueError, match=said):
        freight_usd(kind, Decimal(1), 1, **terms)


@given(st.sampled_from(["flat", "weight", "value"]), USD, POUNDS, USD, st.decimals(0, 100, places=2))
def test_freight_is_whole_cents_and_never_below_the_least_charge(kind, goods_usd, lb, charge_usd, pct):
    found = freight_usd(kind, goods_usd, lb, charge_usd=charge_usd, usd_per_lb=pct / 100, pct=pct)
    assert found >= charge_usd
    assert found == found.quantize(Decimal("0.01"))
