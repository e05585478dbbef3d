"""The seed order's page, the plots behind a figure, the sheet and the files.

The figures of `small_property` are worked by hand in conftest.py.
"""

import json
from decimal import Decimal

import pytest
from django.urls import reverse

from blends.models import Offer, OrderChoice, SeedOrder
from blends.services.orders import recompute_order
from blends.services.seasons import assign
from blends.views import orders
from tests.blends.pages import signed_in, words


@pytest.fixture
def as_owner(owner):
    return signed_in(owner)


@pytest.fixture
def at(farm, season):
    """at(route, *more) -> an address of the season's order."""

    def at(route, *more):
        return reverse(route, args=[farm.slug, season.slug, *more])

    return at


def test_orders_lead_to_the_latest_season(as_owner, farm, season, at):
    response = as_owner.get(reverse("orders", args=[farm.slug]))
    assert response.url == at("order")


def test_without_a_season_the_page_says_what_to_do(as_owner, farm):
    assert "Open a season" in words(as_owner.get(reverse("orders", args=[farm.slug])))


def test_without_plantings_the_page_leads_to_the_season(as_owner, at, season):
    assert "Nothing to order yet." in words(as_owner.get(at("order")))


def test_page_shows_what_to_buy_and_what_it_costs(as_owner, at, small_property):
    text = words(as_owner.get(at("order")))
    assert "$288.00 cost bought" in text.replace("cost bought $288.00", "$288.00 cost bought")
    assert "Oats Co-op 88.2 % 178.6 lb 196.4 lb 30.0 lb 166.4 lb 4 × 50 lb 200.0 lb 51.4 lb $88.00" in text
    assert "Crimson clover Co-op 83.3 % assumed 16.8 lb 18.5 lb 0.0 lb 18.5 lb 1 × 25 lb" in text
    assert "Tally Hollow 4.00 ac $223.91 $55.98 $288.00 $72.00" in text


def test_working_of_a_line_can_be_followed_by_hand(as_owner, at, small_property):
    text = words(as_owner.get(at("order")))
    assert "178.57 lb × (1 + 10 %) = 196.43 lb ; less 30.00 lb on hand = 166.43 lb to buy" in text
    assert "÷ 50 lb a pack, rounded up = 4 packs = 200.00 lb" in text


def test_plots_behind_a_line_add_up_to_it(as_owner, at, small_property, species):
    text = words(as_owner.get(at("order-line", "species", species("oats").pk)))
    assert "from the tag of Co-op: 98 % pure seed × ( 90 % germination)" in text
    assert "North GR Grain, drilled 2.000 60 136.054" in text
    assert "South GR Grain, broadcast 0.500 75 42.517" in text
    assert "2 plots 2.500 178.571" in text


def test_line_of_a_bought_mix_is_by_the_bulk_pound(as_owner, at, small_property):
    bag = small_property.orderlines.get(blend__isnull=False).blend
    text = words(as_owner.get(at("order-line", "blend", bag.pk)))
    assert "acres × lb/ac out of the bag = bulk pounds." in text
    assert "Creek BA Bag, drilled 1.500 20 30.000" in text


def test_item_that_is_not_in_the_order_is_said_to_be(as_owner, at, small_property, species):
    text = words(as_owner.get(at("order-line", "species", species("okra").pk)))
    assert "No plot takes this seed in the Cool season 2027" in text


@pytest.mark.parametrize(("kind", "item_id"), [("species", 999_999), ("blend", 999_999), ("seed", 1)])
def test_item_that_does_not_exist_is_not_found(as_owner, at, season, kind, item_id):
    assert as_owner.get(at("order-line", kind, item_id)).status_code == 404


def test_problem_stops_the_order_and_links_to_what_to_mend(
    as_owner, at, farm, small_property, make_plot, owner
):
    bare = make_plot("Bare", acres=None)
    grain = small_property.season.plantings.get(plot__name="North").blend
    assign(season=small_property.season, user=owner, assignments=[{"plot_id": bare.pk, "blend_id": grain.pk}])
    recompute_order(small_property.pk)
    response = as_owner.get(at("order"))
    text = words(response)
    assert "The order stops here: 1 thing to mend" in text
    assert "Bare has no acreage: it has no boundary." in text
    assert reverse("plot", args=[farm.slug, bare.pk]) in response.content.decode()
    assert "Seed to buy" not in text


def test_stale_order_says_so_and_asks_for_itself_again(as_owner, at, small_property):
    SeedOrder.objects.update(inputs_version=99)
    response = as_owner.get(at("order"))
    assert "The figures are being computed again." in words(response)
    assert 'hx-trigger="every 2s"' in response.content.decode()


def test_fresh_order_does_not_ask_again(as_owner, at, small_property):
    assert "every 2s" not in as_owner.get(at("order")).content.decode()


def test_terms_are_saved_and_the_figures_follow(
    as_owner, at, small_property, django_capture_on_commit_callbacks
):
    body = {"overage_pct": "0", "assumed_purity_pct": "98", "assumed_germination_pct": "85"}
    with django_capture_on_commit_callbacks(execute=True):
        as_owner.post(at("order"), body)
    assert "178.57 lb × (1 + 0 %) = 178.57 lb" in words(as_owner.get(at("order")))


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("overage_pct", "lots", "lots is not accepted; a number from 0 to 100 with at most 2 decimals is."),
        ("overage_pct", "101", "101 is not accepted"),
        ("assumed_purity_pct", "0", "accepted is above 0 to 100"),
    ],
)
def test_terms_that_cannot_be_are_refused_at_the_field(as_owner, at, small_property, field, value, sentence):
    body = {"overage_pct": "5", "assumed_purity_pct": "98", "assumed_germination_pct": "85"} | {field: value}
    assert sentence in words(as_owner.post(at("order"), body))


def test_other_offer_is_chosen_with_what_is_on_hand(as_owner, at, small_property, species, make_offer):
    oats = species("oats")
    other = make_offer(oats, "25", "10.00")
    body = {"act": "choose", "offer_id": other.pk, "on_hand_lb": "12.5"}
    text = words(as_owner.post(at("order-line", "species", oats.pk), body, follow=True))
    assert "Oats is bought as Oats, 25 lb from Co-op." in text
    choice = OrderChoice.objects.get(order=small_property, species=oats)
    assert (choice.offer, choice.on_hand_lb) == (other, Decimal("12.5"))


def test_offer_of_another_species_cannot_be_chosen(as_owner, at, small_property, species, make_offer):
    other = make_offer(species("okra"), "25", "10.00")
    page = at("order-line", "species", species("oats").pk)
    response = as_owner.post(page, {"act": "choose", "offer_id": other.pk, "on_hand_lb": ""})
    assert "Not saved: 1 thing to mend" in words(response)


def test_new_offer_is_added_and_chosen_at_once(as_owner, at, small_property, species):
    oats = species("oats")
    body = {"act": "offer", "supplier_name": "Hill Seed", "pack_lb": "50", "quoted_usd": "$19.75"}
    as_owner.post(at("order-line", "species", oats.pk), body)
    choice = OrderChoice.objects.get(order=small_property, species=oats)
    assert (choice.offer.supplier.name, choice.offer.price_usd) == ("Hill Seed", Decimal("19.75"))
    assert choice.on_hand_lb == 30


def test_offer_that_cannot_be_leaves_no_supplier_behind(as_owner, at, farm, small_property, species):
    body = {"act": "offer", "supplier_name": "Hill Seed", "pack_lb": "50", "quoted_usd": "19.75"}
    body |= {"purity_pct": "98", "germination_pct": "90", "hard_pct": "20"}
    response = as_owner.post(at("order-line", "species", species("oats").pk), body)
    assert "add up to 110 %" in words(response)
    assert not farm.suppliers.filter(name="Hill Seed").exists()


def test_sheet_has_lines_plots_assumptions_and_the_caution(as_owner, at, small_property):
    text = words(as_owner.get(at("order-sheet")))
    assert "Tally Hollow · Cool season 2027" in text
    assert "Oats Co-op 166.4 lb 4 × 50 lb 200.0 lb $22.00 $88.00" in text
    assert "North GR Grain Drilled 2.00 ac" in text
    assert "Overage 10 % over what the plots take" in text
    assert "Treated seed: follow the tag" in text


def test_sheet_of_very_many_plots_has_the_blends_instead(as_owner, at, small_property, monkeypatch):
    monkeypatch.setattr(orders, "MOST_PLOTS_ON_PAPER", 2)
    text = words(as_owner.get(at("order-sheet")))
    assert "GR Grain 2 2.50 ac" in text
    assert "North" not in text


@pytest.mark.parametrize("form", ["csv", "xlsx", "json"])
def test_file_is_named_after_property_and_season(as_owner, at, small_property, form):
    response = as_owner.get(at("order-file", form))
    assert response.headers["Content-Disposition"] == (
        f'attachment; filename="tally-hollow-2027-cool-seed-order.{form}"'
    )
    assert response.content


def test_json_file_holds_the_figures_of_the_page(as_owner, at, small_property):
    data = json.loads(as_owner.get(at("order-file", "json")).content)
    assert any(line["packs"] == 4 for line in data["lines"])


def test_file_of_another_kind_is_not_found(as_owner, at, small_property):
    assert as_owner.get(at("order-file", "pdf")).status_code == 404


def test_viewer_reads_the_order_and_changes_nothing(viewer, at, small_property, species):
    client = signed_in(viewer)
    assert "<form" not in client.get(at("order")).content.decode()
    assert client.post(at("order-line", "species", species("oats").pk), {"act": "choose"}).status_code == 403


def test_offers_compare_prices_by_the_pound(as_owner, farm, small_property):
    """22.00 ÷ 50 = 0.44 a bulk pound; ÷ 0.882 = 0.50 a PLS pound."""
    text = words(as_owner.get(reverse("offers", args=[farm.slug])))
    assert "Oats from Co-op Co-op 50 lb $22.00 $0.44 88.2 % $0.50 98 % pure, 90 % germination" in text


def test_list_without_offers_says_what_to_do(as_owner, farm):
    assert "Add an offer" in words(as_owner.get(reverse("offers", args=[farm.slug])))


def test_offer_of_a_known_supplier_makes_no_second_one(as_owner, farm, small_property, species):
    body = {
        "item": f"species:{species('okra').pk}",
        "supplier_name": "CO-OP",
        "pack_lb": "5",
        "quoted_usd": "30",
    }
    as_owner.post(reverse("offer-new", args=[farm.slug]), body)
    assert Offer.objects.get(species__key="okra").supplier == farm.suppliers.get()


def test_offer_without_a_price_is_refused_at_the_price(as_owner, farm, species):
    body = {
        "item": f"species:{species('okra').pk}",
        "supplier_name": "Co-op",
        "pack_lb": "5",
        "quoted_usd": "",
    }
    response = as_owner.post(reverse("offer-new", args=[farm.slug]), body)
    assert "Price (USD) : A number of 0 or more with at most 4 decimals is needed." in words(response)


def test_offer_is_changed_and_withdrawn(as_owner, farm, small_property):
    offer = Offer.objects.get(species__key="oats")
    page = reverse("offer-edit", args=[farm.slug, offer.pk])
    as_owner.post(page, {"supplier_name": "Co-op", "pack_lb": "50", "quoted_usd": "23.00"})
    offer.refresh_from_db()
    assert (offer.price_usd, offer.purity_pct) == (23, None)
    as_owner.post(page, {"act": "withdraw"})
    assert "Withdrawn (1)" in words(as_owner.get(reverse("offers", args=[farm.slug])))


@pytest.mark.parametrize(
    "target", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"]
)
def test_going_on_never_leaves_the_site(as_owner, farm, species, target):
    body = {
        "item": f"species:{species('okra').pk}",
        "supplier_name": "Co-op",
        "pack_lb": "5",
        "quoted_usd": "30",
    }
    response = as_owner.post(f"{reverse('offer-new', args=[farm.slug])}?next={target}", body)
    assert response.url == reverse("offers", args=[farm.slug])
