from datetime import date
from decimal import Decimal

import pytest

from blends.models import Offer
from blends.services.offers import add_supplier, save_offer, withdraw_offer
from blends.services.orders import choose
from blends.services.seasons import assign, record_planted
from blends.services.species import add_species
from config.errors import Conflict, Refused


@pytest.fixture
def supplier(farm):
    return add_supplier(property=farm, name="Co-op")


@pytest.fixture
def oats(species):
    return species("oats")


def offer(farm, supplier, **values):
    values = {"pack_lb": Decimal(50), "price_usd": Decimal(22)} | values
    return save_offer(property=farm, supplier=supplier, **values)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"pack_lb": Decimal(0)}, "0.0001"),
        ({"price_usd": Decimal(-1)}, "greater than or equal to 0"),
        ({"purity_pct": Decimal(0)}, r"pure seed \(%\) is 0"),
        ({"germination_pct": Decimal(80), "hard_pct": Decimal(25)}, "add up to 105 %"),
        ({"germination_pct": "lots"}, "decimal number"),
        ({"colour": "red"}, "“colour”"),
    ],
)
def test_offer_that_cannot_be_is_refused(farm, supplier, oats, values, said):
    with pytest.raises(Refused, match=said):
        offer(farm, supplier, species=oats, **values)
    assert not Offer.objects.exists()


def test_offer_is_for_exactly_one_thing(farm, supplier, oats, make_bought):
    bag = make_bought("Bag", "20", {"chicory": ("50", "80")})
    for things in ({}, {"species": oats, "blend": bag}):
        with pytest.raises(Refused, match="one thing"):
            offer(farm, supplier, **things)


def test_blend_mixed_here_is_not_offered(farm, supplier, make_mixed):
    with pytest.raises(Refused, match="mixed here"):
        offer(farm, supplier, blend=make_mixed("Grain", {"oats": ("60", None)}))


def test_anything_of_another_property_is_refused(farm, elsewhere, stranger, supplier, oats, make_bought):
    theirs = add_species(property=elsewhere, user=stranger, common_name="Their millet", group="warm_grass")
    bag = make_bought("Bag", "20", {"chicory": ("50", "80")}, property=elsewhere)
    their_supplier = add_supplier(property=elsewhere, name="Co-op")
    for things in ({"species": theirs}, {"blend": bag}):
        with pytest.raises(Refused, match="this property"):
            offer(farm, supplier, **things)
    with pytest.raises(Refused, match="this property"):
        offer(farm, their_supplier, species=oats)
    their_offer = offer(elsewhere, their_supplier, species=oats)
    with pytest.raises(Refused, match="another property"):
        save_offer(property=farm, offer=their_offer, price_usd=Decimal(1))


def test_supplier_of_the_same_name_is_refused(farm, supplier):
    with pytest.raises(Refused, match="has this name"):
        add_supplier(property=farm, name="co-op")


def test_chosen_offer_does_not_become_one_of_something_else(farm, order, supplier, oats, species):
    chosen = offer(farm, supplier, species=oats)
    choose(order=order, species=oats, offer=chosen)
    with pytest.raises(Conflict, match="has chosen this offer"):
        save_offer(property=farm, offer=chosen, species=species("cereal_rye"))


def test_withdrawn_offer_is_not_chosen_but_kept_where_it_was(farm, order, supplier, oats):
    kept, new = offer(farm, supplier, species=oats), offer(farm, supplier, species=oats)
    choose(order=order, species=oats, offer=kept)
    withdraw_offer(offer=kept)
    withdraw_offer(offer=new)
    assert choose(order=order, species=oats, offer=kept, on_hand_lb=Decimal(5)).offer == kept
    with pytest.raises(Refused, match="withdrawn"):
        choose(order=order, species=oats, offer=new)


def test_choice_of_an_offer_of_something_else_is_refused(farm, order, supplier, oats, species):
    with pytest.raises(Refused, match="not an offer of Cereal rye"):
        choose(order=order, species=species("cereal_rye"), offer=offer(farm, supplier, species=oats))


def test_choice_of_another_propertys_things_is_refused(
    elsewhere, stranger, order, oats, make_bought, make_offer
):
    theirs = add_species(property=elsewhere, user=stranger, common_name="Their millet", group="warm_grass")
    bag = make_bought("Bag", "20", {"chicory": ("50", "80")}, property=elsewhere)
    for things in (
        {"species": theirs},
        {"blend": bag},
        {"species": oats, "offer": make_offer(oats, "50", "22", property=elsewhere)},
    ):
        with pytest.raises(Refused, match="this property"):
            choose(order=order, **things)
    assert not order.orderchoices.exists()


def test_choice_for_a_bought_mix_may_be_an_offer_of_its_earlier_version(
    order, owner, make_plot, make_bought, make_offer
):
    tag = {"chicory": ("50", "80")}
    first = make_bought("Bag", "20", tag)
    assignments = [{"plot_id": make_plot().pk, "blend_id": first.pk}]
    assign(season=order.season, user=owner, assignments=assignments)
    record_planted(planting=order.season.plantings.get(), on=date(2024, 9, 1), acres=2)
    second = make_bought("Bag", "25", tag, blend=first)
    offered = make_offer(first, "10", "35.00")
    assert choose(order=order, blend=second, offer=offered).offer == offered


def test_negative_pounds_on_hand_are_refused(order, oats):
    with pytest.raises(Refused, match="greater than or equal to 0"):
        choose(order=order, species=oats, on_hand_lb=Decimal(-1))
