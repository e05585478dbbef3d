"""Seed, rates, mixtures, area and cost against worked examples; `examples.py` says how they are kept."""

from decimal import Decimal

import numpy as np
import pytest
import shapely
from pyproj import Transformer, get_units_map

from blends.calc import rates, seed
from blends.calc.money import cost_usd_per_acre, total_usd
from blends.calc.needs import Components, Items, Plantings, seed_order
from plots.calc import units
from plots.calc.geodesy import geodesic_area_perimeter
from tests.published.examples import ROWS, assert_published, inputs_of, published


def order_of(acres, lb_per_acre, usd_per_lb=None):
    """One recipe of bulk rates on every plot, bought by the pound."""
    count = len(lb_per_acre)
    prices = [None] * count if usd_per_lb is None else [Decimal(str(price)) for price in usd_per_lb]
    return seed_order(
        Plantings(acres, [0] * len(acres)),
        Components([0] * count, range(count), lb_per_acre),
        Items([1] * count, [0] * count, [1] * count, prices),
    )


def planted_lb(acres, lb_per_acre):
    return order_of(acres, lb_per_acre).items.planted_lb.sum()


def drilled_lb_per_acre(broadcast_pls_lb_per_acre):
    """Two plots of an acre: the order takes each method's own rate and knows no multiplier of its own."""
    order = seed_order(
        Plantings([1, 1], [0, 1]),
        Components([0, 1], [0, 0], [broadcast_pls_lb_per_acre, broadcast_pls_lb_per_acre / 2]),
        Items([1], [0], [50], [None]),
    )
    return order.lines.planted_lb[order.lines.planting == 1].sum()


def geodesic_m2(lat_lon):
    return geodesic_area_perimeter(shapely.Polygon([(lon, lat) for lat, lon in lat_lon]))[0]


def fertiliser_usd_per_acre(n_lb, n_price, p_lb, p_price):
    order = order_of([1], [n_lb, p_lb], [n_price, p_price])
    return order.plantings.used_usd_per_acre[0]


def rye_usd_per_acre(drilling, seed_lb, seed_price):
    """Forty acres of rye and their drilling: total cost over total acres."""
    seed_usd = order_of([10, 30], [seed_lb], [seed_price]).plantings.total.used_usd[0]
    return cost_usd_per_acre(total_usd([seed_usd, Decimal(str(drilling)) * 40]), 40)


def net_usd(**amounts):
    """Savings, income and incentives less the cost."""
    signed = {name: Decimal(str(usd)) * (-1 if name == "cost" else 1) for name, usd in amounts.items()}
    return total_usd(signed.values())


def live_pct(**tag):
    return rates.pure_live_seed(**tag).pure_live_pct


CALCULATIONS = {
    "PLS-01": seed.pure_live_fraction,
    "PLS-02": lambda **tag: rates.bulk_rate(1, live_pct(**tag)),
    "PLS-03": live_pct,
    "PLS-04": live_pct,
    "PLS-05": lambda price_per_bulk_lb, **tag: (
        rates.bag_of_seed(1, live_pct(**tag), price_per_bulk_lb).usd_per_pls_lb
    ),
    "PLS-06": lambda price_per_bulk_lb, **tag: seed.usd_per_pls_lb(
        price_per_bulk_lb, seed.pure_live_fraction(**tag)
    ),
    "PLS-07": live_pct,
    "PLS-08": lambda bulk_lb_per_acre, pls_pct: rates.bag_of_seed(bulk_lb_per_acre, pls_pct).pls_lb,
    "SEED-01": seed.seeds_per_lb_from_count,
    "SEED-02": lambda seeds, weight_oz: rates.seeds_per_lb_from_sample(seeds, weight_oz, "oz"),
    "SEED-03": seed.seeds_per_foot_of_row,
    "SEED-04": rates.seeds_per_acre_in_rows,
    "SEED-05": lambda seeds_per_ft2, seeds_per_lb: seed.lb_per_acre_for(seeds_per_ft2, seeds_per_lb),
    "SEED-06": lambda seeds_per_ft2, seeds_per_lb: seed.lb_per_acre_for(seeds_per_ft2, seeds_per_lb),
    "MIX-01": lambda pls_lb_per_acre, share_pct: planted_lb([1], pls_lb_per_acre),
    "MIX-03": drilled_lb_per_acre,
    "MIX-04": lambda bulk_lb_per_acre: planted_lb([1], bulk_lb_per_acre),
    "MIX-05": lambda bulk_lb_per_acre, plot_acres: planted_lb(plot_acres, [bulk_lb_per_acre]),
    "AREA-01": lambda feet2: units.acres_to_m2(feet2 / units.FT2_PER_ACRE),
    "AREA-03": lambda lat_lon, utm18n: geodesic_m2(lat_lon),
    "AREA-05": geodesic_m2,
    "COST-01": net_usd,
    "COST-02": net_usd,
    "COST-03": fertiliser_usd_per_acre,
    "COST-04": net_usd,
    "COST-05": rye_usd_per_acre,
}


HAVE_THEIR_OWN_TEST = {"MIX-02", "AREA-02", "AREA-04"}


@pytest.mark.parametrize("name", CALCULATIONS)
def test_calculation_gives_the_published_figure(name):
    assert_published(name, lambda **inputs: float(CALCULATIONS[name](**inputs)))


def test_published_pounds_are_the_published_share_of_the_full_rate():
    """MIX-02: the page gives pounds and share; the full rate that they imply is the expected value."""
    given = inputs_of("MIX-02")
    full_rate_lb_per_acre = float(ROWS["MIX-02"]["expected"])
    assert seed.share_of_full_rate(given["pls_lb_per_acre"], full_rate_lb_per_acre) == pytest.approx(
        given["share_pct"] / 100, rel=1e-9
    )


def test_equal_shares_of_the_stand_are_very_unequal_pounds():
    """MIX-01, whose basis says so: the page's pounds and shares, and the full rates that they imply."""
    given = inputs_of("MIX-01")
    pounds, stand_pct = np.array(given["pls_lb_per_acre"]), np.array(given["share_pct"])
    shares = rates.mixture_shares(pounds, np.ones(len(pounds)), pounds / stand_pct * 100)
    assert shares.of_full_rate_pct == pytest.approx(stand_pct)
    assert (shares.full_rates_pct, shares.total_lb_per_acre) == (pytest.approx(100), published("MIX-01"))
    assert shares.by_weight_pct[stand_pct == 20].round().tolist() == [36, 6, 20, 28]


def test_acre_is_the_international_and_not_the_survey_acre():
    """AREA-02: pyproj's own survey foot gives the published survey acre, 4 parts in a million over ours."""
    survey_acre_m2 = inputs_of("AREA-02")["feet2"] * get_units_map()["US survey foot"].conv_factor ** 2
    assert survey_acre_m2 == published("AREA-02")
    assert survey_acre_m2 / units.acres_to_m2(1) - 1 == pytest.approx(4e-6, rel=1e-3)


def test_edges_are_geodesics_and_not_parallels():
    """AREA-04: the published area follows the parallels; geodesic edges bow north of both of them."""
    area_m2 = geodesic_m2(inputs_of("AREA-04")["lat_lon"])
    assert area_m2 == pytest.approx(253464193159, rel=1e-11)  # as the row's basis states
    assert 1 - area_m2 / float(ROWS["AREA-04"]["expected"]) == pytest.approx(0.00049, abs=5e-6)


def test_geodesic_square_on_the_utm_grid_matches_the_planimeter_manual():
    """AREA-03 from the published corners themselves: GeographicLib, Planimeter manual page, first example."""
    to_lon_lat = Transformer.from_crs("EPSG:32618", "EPSG:4326", always_xy=True)
    corners = np.array(inputs_of("AREA-03")["utm18n"], dtype=float)
    square = shapely.Polygon(np.column_stack(to_lon_lat.transform(corners[:, 0], corners[:, 1])))
    area_m2, perimeter_m = geodesic_area_perimeter(square)
    assert area_m2 == pytest.approx(10007388597.2, abs=0.05)
    assert perimeter_m == pytest.approx(400139.532959, abs=5e-7)
