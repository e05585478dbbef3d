"""What a blend holds and costs, worked by hand from the reference table.

Oats: 19,400 seeds/lb, full rate drilled 80 to 120. Crimson clover: 149,760 seeds/lb, full rate 15 to 18.
"""

from decimal import Decimal

import pytest

from blends.models import Blend
from blends.queries import blend_figures, draft_of, figures_of_blends
from blends.services.orders import choose
from blends.services.species import add_species, override_value

MIXED = {"oats": ("60", None), "crimson_clover": ("5", None)}


@pytest.fixture
def figures(farm, make_mixed):
    return blend_figures(farm, draft_of(make_mixed("Grain", MIXED)))


def test_mixed_blend_comes_out_as_by_hand(figures):
    oats, clover = (row.drilled for row in figures.rows)
    assert oats.seeds_per_sqft == pytest.approx(60 * 19_400 / 43_560)
    assert clover.seeds_per_sqft == pytest.approx(5 * 149_760 / 43_560)
    assert (oats.full_rate_low_lb_per_acre, oats.full_rate_high_lb_per_acre) == (80, 120)
    assert (oats.share_of_full_rate, clover.share_of_full_rate) == pytest.approx((0.6, 5 / 16.5))
    assert (oats.share_by_weight, clover.share_by_weight) == pytest.approx((60 / 65, 5 / 65))
    assert oats.share_by_seed_count == pytest.approx(0.6085, abs=1e-4)
    totals = figures.drilled
    assert (totals.pls_lb_per_acre, totals.seeds_per_sqft) == pytest.approx((65, 43.912), abs=1e-3)
    assert totals.share_of_full_rate == pytest.approx(0.6 + 5 / 16.5)


def test_method_without_a_rate_is_not_used_and_not_complained_of(figures):
    assert (figures.broadcast.is_used, figures.broadcast.pls_lb_per_acre) == (False, None)
    assert figures.broadcast.missing == []


def test_own_value_counts_before_the_tables(farm, owner, make_mixed, species):
    blend = make_mixed("Grain", MIXED)
    override_value(property=farm, species=species("oats"), user=owner, field="seeds_per_lb", value="14000")
    oats = blend_figures(farm, draft_of(blend)).rows[0].drilled
    assert oats.seeds_per_sqft == pytest.approx(60 * 14_000 / 43_560)


def test_bought_mix_is_worked_out_from_its_tag(farm, make_bought, make_offer):
    bag = make_bought("Bag", "20", {"chicory": ("50", "80"), "white_clover": ("45", "90")})
    make_offer(bag, "10", "35.00")
    figures = blend_figures(farm, draft_of(bag))
    assert [row.drilled.pls_lb_per_acre for row in figures.rows] == pytest.approx([8.0, 8.1])
    assert (figures.drilled.pls_lb_per_acre, figures.drilled.bulk_lb_per_acre) == pytest.approx((16.1, 20))
    assert figures.drilled.cost_usd_per_acre == Decimal("70.00")


def test_one_missing_rate_makes_the_sum_unknown_and_is_named(farm, make_mixed):
    blend = make_mixed("Grain", {"oats": ("60", None), "crimson_clover": (None, None)})
    totals = blend_figures(farm, draft_of(blend)).drilled
    assert (totals.pls_lb_per_acre, totals.seeds_per_sqft) == (None, None)
    assert "Crimson clover has no drilled rate." in totals.missing


def test_species_without_seeds_per_pound_is_named(farm, owner):
    own = add_species(property=farm, user=owner, common_name="Hill millet", group="warm_grass")
    draft = {"kind": "mixed", "components": [{"species_id": own.pk, "drilled_pls_lb_per_acre": "9"}]}
    totals = blend_figures(farm, draft).drilled
    assert (totals.pls_lb_per_acre, totals.seeds_per_sqft) == (9, None)
    assert "Hill millet has no seeds per pound." in totals.missing


@pytest.mark.parametrize("typed", ["6o", "-5", "0", "nan", "1e400"])
def test_what_is_no_rate_is_named_and_not_taken_for_a_number(farm, species, typed):
    components = [{"species_id": str(species("oats").pk), "drilled_pls_lb_per_acre": typed}]
    figures = blend_figures(farm, {"kind": "mixed", "components": components})
    assert figures.rows[0].drilled.pls_lb_per_acre is None
    assert f"Oats, drilled is “{typed}”; accepted is a number above 0, at most 99,999." in figures.notes


def test_another_propertys_species_is_named_and_left_out(farm, elsewhere, stranger):
    theirs = add_species(property=elsewhere, user=stranger, common_name="Their millet", group="warm_grass")
    figures = blend_figures(farm, {"kind": "mixed", "components": [{"species_id": theirs.pk}]})
    assert figures.rows == []
    assert f"Species {theirs.pk} is not in this property's list." in figures.notes


def test_cost_an_acre_is_the_sum_of_what_the_components_show(farm, make_mixed, make_offer, species):
    blend = make_mixed("Grain", MIXED)
    make_offer(species("oats"), "50", "22.00", tag=("98", "90"))  # 0.44 ÷ 0.882 × 60 = 29.93
    make_offer(species("crimson_clover"), "25", "60.00")  # 2.40 ÷ (0.98 × 0.85 assumed) × 5 = 14.41
    figures = blend_figures(farm, draft_of(blend))
    assert [row.drilled.cost_usd_per_acre for row in figures.rows] == [Decimal("29.93"), Decimal("14.41")]
    assert figures.drilled.cost_usd_per_acre == Decimal("44.34")
    assert "Costs rest on an assumed tag for Crimson clover." in figures.notes


def test_cost_is_unknown_while_a_price_is(farm, make_mixed, make_offer, species):
    blend = make_mixed("Grain", MIXED)
    make_offer(species("oats"), "50", "22.00", tag=("98", "90"))
    totals = blend_figures(farm, draft_of(blend)).drilled
    assert totals.cost_usd_per_acre is None
    assert "Crimson clover has no offer." in totals.missing


def test_price_is_the_chosen_offers_else_the_cheapest_for_live_seed(
    farm, order, make_mixed, make_offer, species
):
    draft = draft_of(make_mixed("Grain", {"oats": ("60", None)}))
    dear = make_offer(species("oats"), "50", "30.00", tag=("98", "90"))
    make_offer(species("oats"), "50", "21.00", tag=("60", "50"))  # cheaper by the pound, dearer alive
    cheap = make_offer(species("oats"), "50", "22.00", tag=("98", "90"))
    assert blend_figures(farm, draft).rows[0].price.offer == cheap
    choose(order=order, species=species("oats"), offer=dear)
    assert blend_figures(farm, draft).rows[0].price.offer == dear


def test_prices_of_another_property_do_not_count(farm, elsewhere, make_mixed, make_offer, species):
    make_offer(species("oats"), "50", "22.00", property=elsewhere)
    assert blend_figures(farm, draft_of(make_mixed("Grain", MIXED))).rows[0].price is None


def test_costs_are_left_out_on_request(farm, make_mixed, make_offer, species):
    make_offer(species("oats"), "50", "22.00", tag=("98", "90"))
    figures = blend_figures(farm, draft_of(make_mixed("Grain", {"oats": ("60", None)})), with_costs=False)
    assert (figures.drilled.cost_usd_per_acre, figures.rows[0].price) == (None, None)


def test_figures_of_many_blends_take_as_many_queries_as_of_one(
    farm, make_mixed, make_bought, django_assert_max_num_queries
):
    for i in range(12):
        make_mixed(f"Grain {i}", MIXED)
        make_bought(f"Bag {i}", "20", {"chicory": ("50", "80")})
    with django_assert_max_num_queries(8):
        found = figures_of_blends(farm, Blend.objects.filter(property=farm))
    assert len(found) == 24
