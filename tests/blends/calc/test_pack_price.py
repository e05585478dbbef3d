import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import pack_price
from blends.calc.pack_price import live_share, pack_price_usd, price_for_packs, what_is_wrong_with_breaks
from blends.calc.seed import pure_live_fraction

PERCENT = st.decimals(1, 100, places=2)


def test_examples_hold():
    assert doctest.testmod(pack_price).failed == 0


@pytest.mark.parametrize(
    ("quoted_per", "quoted_usd", "pack_lb", "usd"),
    [
        ("pack", "22.00", "50", "22.00"),
        ("bulk_lb", "0.4450", "25", "11.13"),  # 11.125: half a cent goes up
        ("bulk_lb", "0.4449", "25", "11.12"),
        ("pls_lb", "0.50", "50", "22.05"),  # 50 × 0.882 = 44.1 lb PLS
        ("pls_lb", "3.1250", "22.5", "62.02"),  # 22.5 × 0.882 × 3.125 = 62.015625
        ("pack", "0", "50", "0.00"),
    ],
)
def test_pack_price_follows_from_what_is_quoted(quoted_per, quoted_usd, pack_lb, usd):
    """By hand, with a tag of 98 % × (80 + 10) %."""
    found = pack_price_usd(quoted_per, Decimal(quoted_usd), Decimal(pack_lb), Decimal("0.882"))
    assert str(found) == usd


@given(PERCENT, PERCENT)
def test_live_share_is_that_of_the_order(purity, germination):
    assert float(live_share(purity, germination)) == pytest.approx(
        float(pure_live_fraction(float(purity), float(germination))), rel=1e-12
    )


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("sack", Decimal(1), Decimal(1)), "“sack”"),
        (("pack", Decimal(-1), Decimal(1)), "price is -1 USD"),
        (("pack", Decimal(1), Decimal(0)), "pack is 0 lb"),
        (("pls_lb", Decimal(1), Decimal(1)), "pure live fraction is not known"),
    ],
)
def test_what_has_no_price_is_refused(arguments, said):
    with pytest.raises(ValueError, match=said):
        pack_price_usd(*arguments)


@given(st.integers(1, 500), st.lists(st.integers(2, 400), unique=True, max_size=5))
def test_more_packs_never_cost_more_each(packs, numbers):
    breaks = [(n, Decimal(100 - i)) for i, n in enumerate(sorted(numbers))]
    assert price_for_packs(packs + 1, Decimal(101), breaks) <= price_for_packs(packs, Decimal(101), breaks)


@pytest.mark.parametrize(
    ("breaks", "wrong"),
    [
        ([], []),
        ([(10, "21"), (40, "20")], []),
        ([(1, "21")], [0]),
        ([(10, "22")], [0]),
        ([(10, "21"), (10, "20")], [1]),
        ([(40, "21"), (10, "20")], [1]),
        ([(10, "21"), (40, "21")], [1]),
        ([(10, "-1")], [0]),
    ],
)
def test_numbers_rise_and_prices_fall(breaks, wrong):
    breaks = [(n, Decimal(usd)) for n, usd in breaks]
    assert [position for position, _ in what_is_wrong_with_breaks(Decimal(22), breaks)] == wrong
