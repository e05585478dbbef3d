"""The seed order through the services; the fixture `small_property` has the working by hand."""

from datetime import date
from decimal import Decimal

import pytest
from shapely.geometry import MultiPolygon, box

from blends import queries
from blends.services.orders import choose, recompute_order, set_terms
from blends.services.seasons import assign, record_planted
from config.errors import Refused
from plots.services.plots import archive_plot

USD = Decimal


def computed(order):
    recompute_order(order.pk)
    order.refresh_from_db()
    return order


def give(order, owner, plot, blend, method="drilled"):
    assignments = [{"plot_id": plot.pk, "blend_id": blend.pk, "method": method}]
    assign(season=order.season, user=owner, assignments=assignments)


def test_order_comes_out_as_by_hand(small_property):
    lines = {str(line.item): line for line in queries.order_lines(small_property)}
    found = {
        name: (
            round(line.planted_lb, 3),
            round(line.needed_lb, 3),
            round(line.to_buy_lb, 3),
            line.packs,
            line.bought_lb,
            round(line.left_over_lb, 3),
            line.cost_used_usd,
            line.cost_bought_usd,
            line.is_pls_assumed,
        )
        for name, line in lines.items()
    }
    assert found == {
        "Oats": (178.571, 196.429, 166.429, 4, 200, 51.429, USD("78.57"), USD("88.00"), False),
        "Crimson clover": (16.807, 18.487, 18.487, 1, 25, 8.193, USD("40.34"), USD("60.00"), True),
        "Bag": (30, 33, 33, 4, 40, 10, USD("105.00"), USD("140.00"), False),
    }
    assert (small_property.acres, small_property.cost_bought_usd) == (4.0, USD("288.00"))
    assert (small_property.cost_used_usd, small_property.problems) == (USD("223.91"), [])


def test_costs_by_plot_and_by_blend_add_up_to_the_order_to_the_cent(small_property):
    """Of the oats' 88.00 North bears 120/157.5 = 67.05 and of the clover's 60.00 10/14 = 42.86."""
    costs = queries.order_costs(small_property)
    bought = {str(cost.of.plot): cost.bought_usd for cost in costs.by_plot}
    by_blend = {
        str(cost.of): (cost.acres, cost.bought_usd, cost.bought_usd_per_acre) for cost in costs.by_blend
    }
    assert bought == {"North": USD("109.91"), "South": USD("38.09"), "Creek": USD("140.00")}
    assert by_blend == {
        "Grain": (2.5, USD("148.00"), USD("59.20")),
        "Bag": (1.5, USD("140.00"), USD("93.33")),
    }
    assert sum(cost.used_usd for cost in costs.by_plot) == small_property.cost_used_usd
    assert costs.property.bought_usd_per_acre == USD("72.00")


def test_plots_behind_a_figure_add_up_to_it(small_property, species):
    parts = queries.order_plots(small_property, species("oats"))
    [line] = [line for line in queries.order_lines(small_property) if str(line.item) == "Oats"]
    assert [(part.plot.name, part.acres, part.lb_per_acre) for part in parts] == [
        ("North", 2, 60),
        ("South", 0.5, 75),
    ]
    assert sum(part.planted_lb for part in parts) == pytest.approx(line.planted_lb)
    assert sum(part.cost_bought_usd for part in parts) == line.cost_bought_usd


def test_order_says_which_tags_are_assumed(small_property):
    notes = queries.order_notes(queries.order_lines(small_property))
    assert notes == ["Pure live seed is assumed, not read from a tag, for Crimson clover."]


def test_item_without_an_offer_has_pounds_and_no_costs(small_property, species):
    choose(order=small_property, species=species("oats"), on_hand_lb=Decimal(30))
    order = computed(small_property)
    [oats] = [line for line in queries.order_lines(order) if str(line.item) == "Oats"]
    by_blend = {str(cost.of): cost.bought_usd for cost in queries.order_costs(order).by_blend}
    # 157.5 ÷ (0.98 × 0.85) with the assumed tag
    assert oats.planted_lb == pytest.approx(189.076, abs=1e-3)
    assert (oats.packs, oats.cost_bought_usd, order.cost_bought_usd) == (None, None, None)
    assert by_blend == {"Grain": None, "Bag": USD("140.00")}
    assert "No offer is chosen for Oats: packs and costs are unknown." in queries.order_notes(
        queries.order_lines(order)
    )


def test_seed_that_is_all_on_hand_costs_nothing_to_buy_and_says_that_its_use_is_unpriced(
    small_property, species
):
    choose(order=small_property, species=species("oats"), on_hand_lb=Decimal(900))
    order = computed(small_property)
    [oats] = [line for line in queries.order_lines(order) if str(line.item) == "Oats"]
    assert (oats.to_buy_lb, oats.packs, oats.cost_bought_usd, oats.cost_used_usd) == (0, 0, USD(0), None)
    assert (order.cost_bought_usd, order.cost_used_usd) == (USD("200.00"), None)
    assert "All on hand and without an offer: Oats. The cost used is unknown." in queries.order_notes(
        queries.order_lines(order)
    )


def test_tag_without_germination_is_not_used(small_property, make_offer, species):
    offer = make_offer(species("oats"), "50", "22.00", purity_pct=Decimal(99))
    choose(order=small_property, species=species("oats"), offer=offer)
    [oats] = [line for line in queries.order_lines(computed(small_property)) if str(line.item) == "Oats"]
    assert (oats.is_pls_assumed, round(oats.pure_live_fraction, 4)) == (True, 0.833)


def test_hard_seed_counts_as_alive(small_property, make_offer, species):
    offer = make_offer(species("crimson_clover"), "25", "60.00", tag=("98", "75", "10"))
    choose(order=small_property, species=species("crimson_clover"), offer=offer)
    [clover] = [
        line for line in queries.order_lines(computed(small_property)) if str(line.item) == "Crimson clover"
    ]
    assert (clover.is_pls_assumed, clover.pure_live_fraction) == (False, pytest.approx(0.98 * 0.85))


def test_bulk_pounds_over_three_plots_are_the_published_ones(order, owner, make_plot, make_bought):
    """ "Reclamation seed mixture and cultural practices", Colorado Division of Reclamation, Mining and Safety:
    44.7 bulk lb/ac; the three plots of 1.5, 0.7 and 1.0 acres take 143.04 lb."""
    bag = make_bought("Bag", "44.7", {"chicory": ("50", "80")})
    for i, acres in enumerate((1.5, 0.7, 1.0)):
        give(order, owner, make_plot(f"Plot {i}", acres=acres, lon=-92 + i), bag)
    [line] = queries.order_lines(computed(order))
    assert line.planted_lb == pytest.approx(143.04)


def test_planted_acres_count_before_the_map(small_property, species):
    planting = small_property.season.plantings.get(plot__name="North")
    record_planted(planting=planting, on=date(2024, 9, 1), acres=Decimal("1.5"))
    parts = queries.order_plots(computed(small_property), species("oats"))
    assert {part.plot.name: part.acres for part in parts} == {"North": 1.5, "South": 0.5}


def test_archived_plot_leaves_the_order_unless_it_was_planted(small_property):
    plantings = {row.plot.name: row for row in small_property.season.plantings.select_related("plot")}
    record_planted(planting=plantings["North"], on=date(2024, 9, 1), acres=2)
    archive_plot(plot=plantings["North"].plot)
    archive_plot(plot=plantings["South"].plot)
    order = computed(small_property)
    assert order.acres == pytest.approx(3.5)
    assert [str(cost.of.plot) for cost in queries.order_costs(order).by_plot] == ["Creek", "North"]
    plantings["South"].refresh_from_db()
    assert plantings["South"].cost_bought_usd is None


def problems(order):
    return [problem["sentence"] for problem in computed(order).problems]


@pytest.mark.parametrize(
    ("boundary", "why"), [(False, "it has no boundary"), (True, "its boundary has not been measured yet")]
)
def test_plot_without_acreage_stops_the_order(small_property, owner, make_plot, boundary, why):
    grain = small_property.season.plantings.get(plot__name="North").blend
    new = make_plot("New", acres=None, lon=-92.5)
    if boundary:
        new.boundary = new.boundaries.create(geometry=_square(), how="drawn")
        new.save()
    give(small_property, owner, new, grain)
    order = computed(small_property)
    assert order.problems == [{"sentence": f"New has no acreage: {why}.", "plot_id": new.pk}]
    assert queries.order_lines(order) == []
    assert (order.acres, order.cost_used_usd, order.cost_bought_usd) == (None, None, None)
    assert all(cost.bought_usd is None for cost in queries.order_costs(order).by_plot)


def test_component_without_a_rate_for_the_method_stops_the_order(order, owner, make_plot, make_mixed):
    blend = make_mixed("Grain", {"oats": ("60", None), "cereal_rye": ("30", "40")})
    give(order, owner, make_plot(), blend, "broadcast")
    assert problems(order) == [
        "Grain has no broadcast rate for Oats, and a plot of this season is broadcast."
    ]
    assert order.problems[0]["blend_id"] == blend.pk


def test_rate_that_is_missing_for_the_other_method_does_not(order, owner, make_plot, make_mixed):
    give(order, owner, make_plot(), make_mixed("Grain", {"oats": ("60", None)}))
    assert problems(order) == []


def test_bought_mix_without_a_rate_stops_the_order(order, owner, make_plot, make_bought):
    give(order, owner, make_plot(), make_bought("Bag", None, {"chicory": ("50", "80")}))
    assert problems(order) == ["Bag has no drilled rate, and a plot of this season is drilled."]


def test_blend_without_components_stops_the_order(order, owner, make_plot, make_mixed):
    give(order, owner, make_plot(), make_mixed("Empty", {}))
    assert problems(order) == ["Empty has no components; it needs one or more."]


def test_mended_problem_lets_the_order_through(farm, order, owner, make_plot, make_mixed):
    blend = make_mixed("Grain", {"oats": (None, None)})
    give(order, owner, make_plot(), blend)
    assert problems(order)
    make_mixed("Grain", {"oats": ("60", None)}, blend=blend)
    assert problems(order) == []
    assert len(queries.order_lines(order)) == 1


def test_season_with_nothing_planned_needs_nothing(order):
    assert (computed(order).acres, order.cost_bought_usd, queries.order_lines(order)) == (0, 0, [])


@pytest.mark.parametrize(
    ("terms", "said"),
    [
        ({"overage_pct": Decimal(101)}, "less than or equal to 100"),
        ({"overage_pct": Decimal(-1)}, "greater than or equal to 0"),
        ({"assumed_germination_pct": Decimal(0)}, r"assumed germination \(%\) is 0"),
    ],
)
def test_terms_that_cannot_be_are_refused(order, terms, said):
    usual = {"overage_pct": 5, "assumed_purity_pct": 98, "assumed_germination_pct": 85}
    with pytest.raises(Refused, match=said):
        set_terms(order=order, **usual | terms)


def test_order_takes_as_many_queries_for_many_plots_as_for_few(
    order, owner, make_plot, make_mixed, make_offer, species, django_assert_max_num_queries
):
    grain = make_mixed("Grain", {"oats": ("60", "75"), "crimson_clover": ("5", "8")})
    choose(order=order, species=species("oats"), offer=make_offer(species("oats"), "50", "22.00"))
    plots = [make_plot(f"Plot {i}", lon=-92 + i / 100) for i in range(60)]
    assignments = [{"plot_id": plot.pk, "blend_id": grain.pk} for plot in plots]
    assign(season=order.season, user=owner, assignments=assignments)
    computed(order)
    with django_assert_max_num_queries(10):  # one of them the way to buy that was taken
        lines = queries.order_lines(order)
        queries.offers_by_item(order, lines)
        costs = queries.order_costs(order)
        assert (len(costs.by_plot), len(costs.by_plot[0:50])) == (60, 50)
    with django_assert_max_num_queries(6):
        rows = queries.season_rows(order.season)
        queries.season_sums(order.season)
        assert len(rows[0:50]) == 50


def test_blend_of_the_order_shows_its_version(order, owner, make_plot, make_mixed):
    blend = make_mixed("Grain", {"oats": ("60", None)})
    give(order, owner, make_plot(), blend)
    record_planted(planting=order.season.plantings.get(), on=date(2024, 9, 1), acres=2)
    newer = make_mixed("Grain", {"oats": ("50", None)}, blend=blend)
    give(order, owner, make_plot("South", lon=-92.1), newer)
    assert [str(cost.of) for cost in queries.order_costs(computed(order)).by_blend] == ["Grain", "Grain v2"]


def _square():
    return MultiPolygon([box(-92.5, 38, -92.499, 38.001)])
