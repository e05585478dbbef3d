from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db.models import F

from blends.models import Offer, PurchaseLine, PurchaseOrder, SeedOrder
from blends.queries import offers_by_item
from blends.queries.offers import open_offers
from blends.queries.prices import prices
from blends.services.offers import offer_again, save_offer, withdraw_offer
from blends.services.orders import choose, recompute_order
from blends.services.seasons import assign, open_season, record_planted
from blends.services.species import add_species
from blends.services.suppliers import add_supplier, archive_supplier
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


def sent(order, offer, packs=2, state="sent"):
    """A purchase order of the offer, as far as offers look at it."""
    number = order.season.property.purchase_orders.count() + 1
    purchase = PurchaseOrder.objects.create(
        property=order.season.property, number=number, order=order, supplier=offer.supplier, state=state
    )
    PurchaseLine.objects.create(
        purchase=purchase,
        offer=offer,
        species=offer.species,
        blend=offer.blend,
        description=str(offer),
        packs=packs,
        pack_lb=offer.pack_lb,
        price_usd=offer.price_usd,
    )
    return purchase


@pytest.mark.parametrize(
    ("values", "price_usd"),
    [
        ({"quoted_per": "pack", "quoted_usd": Decimal("22.5")}, "22.50"),
        ({"quoted_per": "bulk_lb", "quoted_usd": Decimal("0.445")}, "22.25"),
        ({"quoted_per": "pls_lb", "quoted_usd": Decimal("0.5"), "purity_pct": Decimal(98)}, "22.05"),
        ({"quoted_per": "bulk_lb", "quoted_usd": "0.445", "pack_lb": "50"}, "22.25"),
    ],
)
def test_pack_price_follows_from_the_quoted_one(farm, supplier, oats, values, price_usd):
    """By hand: 50 lb × 0.445; 50 lb × 98 % × 90 % × 0.50 = 22.05."""
    values = {"pack_lb": Decimal(50), "germination_pct": Decimal(90)} | values
    made = save_offer(property=farm, supplier=supplier, species=oats, **values)
    assert str(made.price_usd) == price_usd


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"quoted_per": "pls_lb", "quoted_usd": Decimal(1)}, "needs the tag"),
        ({"quoted_per": "bulk_lb", "price_usd": Decimal(22)}, "price by the pound is needed"),
        ({"quoted_per": "sack", "quoted_usd": Decimal(1)}, "sack"),
        ({}, "price is missing"),
        ({"quoted_usd": Decimal(22), "price_usd": Decimal(23)}, "comes to 22.00"),
        ({"quoted_usd": "lots"}, "decimal number"),
        ({"quoted_usd": Decimal(1), "least_packs": 0}, "greater than or equal to 1"),
        ({"quoted_usd": Decimal(1), "least_packs": 5, "most_packs": 4}, "fewest packs are 5, and 4"),
        ({"quoted_usd": Decimal(1), "purity_pct": "98", "inert_pct": "2.01"}, r"add up to 100\.01 %"),
        ({"quoted_usd": Decimal(1), "quoted_on": "2026-11-02", "valid_until": "2026-11-01"}, "before"),
    ],
)
def test_quote_that_cannot_be_is_refused(farm, supplier, oats, values, said):
    with pytest.raises(Refused, match=said):
        save_offer(property=farm, supplier=supplier, species=oats, pack_lb=Decimal(50), **values)
    assert not Offer.objects.exists()


def test_parts_of_the_seed_may_make_exactly_100(farm, supplier, oats):
    parts = {"purity_pct": "97.55", "other_crop_pct": "0.15", "weed_seed_pct": "0.05", "inert_pct": "2.25"}
    assert offer(farm, supplier, species=oats, **parts).inert_pct == Decimal("2.25")


def test_bought_mix_is_not_priced_by_the_pls_pound(farm, supplier, make_bought):
    bag = make_bought("Bag", "20", {"chicory": ("50", "80")})
    tag = {"purity_pct": Decimal(98), "germination_pct": Decimal(90)}
    with pytest.raises(Refused, match="bulk pound"):
        save_offer(
            property=farm, supplier=supplier, blend=bag, pack_lb=10, quoted_per="pls_lb", quoted_usd=1, **tag
        )


def test_breaks_are_priced_as_the_pack_is(farm, supplier, oats):
    """By hand: 50 lb × 0.4050 and × 0.3999, half a cent up."""
    breaks = [
        {"from_packs": 10, "quoted_usd": Decimal("0.405")},
        {"from_packs": 40, "quoted_usd": Decimal("0.3999")},
    ]
    quote = {"quoted_per": "bulk_lb", "quoted_usd": Decimal("0.44"), "pack_lb": Decimal(50)}
    made = save_offer(property=farm, supplier=supplier, species=oats, breaks=breaks, **quote)
    assert [(each.from_packs, str(each.price_usd)) for each in made.breaks.all()] == [
        (10, "20.25"),
        (40, "20.00"),
    ]
    save_offer(property=farm, offer=made, pack_lb=Decimal(25))
    assert [str(each.price_usd) for each in made.breaks.all()] == ["10.13", "10.00"]
    save_offer(property=farm, offer=made, breaks=[])
    assert not made.breaks.exists()


@pytest.mark.parametrize(
    ("breaks", "said"),
    [
        ([(10, "22")], "not less than 22"),
        ([(10, "21"), (10, "20")], "numbers that rise"),
        ([(1, "21")], "greater than or equal to 2"),
        ([(10, "-1")], "greater than or equal to 0"),
        ([(10, "lots")], "price break cannot be used"),
        ([(None, "21")], "price break cannot be used"),
    ],
)
def test_break_that_cannot_be_is_refused(farm, supplier, oats, breaks, said):
    breaks = [{"from_packs": packs, "quoted_usd": usd} for packs, usd in breaks]
    with pytest.raises(Refused, match=said) as refused:
        offer(farm, supplier, species=oats, breaks=breaks)
    assert "breaks" in refused.value.fields
    assert not Offer.objects.exists()


def test_offer_of_an_archived_supplier_is_not_made(farm, supplier, oats):
    archive_supplier(supplier=supplier)
    supplier.refresh_from_db()
    with pytest.raises(Refused, match="Co-op is archived"):
        offer(farm, supplier, species=oats)


def test_change_of_an_offer_that_was_ordered_makes_a_new_one(small_property, farm, oats):
    """Yesterday's order keeps its cents."""
    old = Offer.objects.get(species=oats)
    sent(small_property, old)
    changed = save_offer(property=farm, offer=old, quoted_usd=Decimal(30))
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    old.refresh_from_db()
    assert (str(small_property.cost_bought_usd), str(small_property.cost_used_usd)) == ("288.00", "223.91")
    assert (old.price_usd, old.is_withdrawn, old.replaced_by) == (22, True, changed)
    assert (changed.price_usd, changed.is_withdrawn, changed.pk != old.pk) == (30, False, True)
    assert changed.replacement.kept == [small_property]
    assert small_property.orderchoices.get(species=oats).offer == old


def test_only_a_draft_lets_the_offer_change(small_property, farm, oats):
    old = Offer.objects.get(species=oats)
    sent(small_property, old, state="draft")
    assert save_offer(property=farm, offer=old, quoted_usd=Decimal(30)).pk == old.pk


def test_offer_of_a_season_that_was_planted_is_not_moved_by_a_price(small_property, farm, oats):
    old = Offer.objects.get(species=oats)
    record_planted(
        planting=small_property.season.plantings.get(plot__name="North"), on=date(2026, 9, 1), acres=2
    )
    changed = save_offer(property=farm, offer=old, quoted_usd=Decimal(30))
    assert changed.replacement.kept == [small_property]
    assert small_property.orderchoices.get(species=oats).offer == old


def test_orders_of_which_nothing_was_sent_go_over_to_the_new_offer(small_property, farm, oats):
    old = Offer.objects.get(species=oats)
    later = open_season(property=farm, year=2028, kind="cool").order
    choose(order=later, species=oats, offer=old)
    SeedOrder.objects.filter(pk=later.pk).update(computed_version=F("inputs_version"))
    sent(small_property, old)
    changed = save_offer(
        property=farm,
        offer=old,
        quoted_usd=Decimal(30),
        breaks=[{"from_packs": 5, "quoted_usd": Decimal(29)}],
    )
    later.refresh_from_db()
    assert (changed.replacement.moved, changed.replacement.kept) == ([later], [small_property])
    assert later.orderchoices.get(species=oats).offer == changed
    assert later.is_stale
    assert "cool season 2028" in changed.replacement.said
    assert changed.breaks.get().price_usd == 29
    assert not old.breaks.exists()


def test_saving_an_ordered_offer_as_it_is_changes_nothing(small_property, farm, oats):
    old = Offer.objects.get(species=oats)
    sent(small_property, old)
    assert save_offer(property=farm, offer=old, quoted_usd=Decimal("22.0000"), variety="").pk == old.pk
    assert Offer.objects.filter(species=oats).count() == 1


def test_offer_that_was_replaced_is_neither_changed_nor_offered_again(small_property, farm, oats):
    old = Offer.objects.get(species=oats)
    sent(small_property, old)
    save_offer(property=farm, offer=old, quoted_usd=Decimal(30))
    with pytest.raises(Conflict, match="has been replaced"):
        save_offer(property=farm, offer=old, quoted_usd=Decimal(31))
    with pytest.raises(Conflict, match="has been replaced"):
        offer_again(offer=old)


def test_ordered_offer_does_not_become_one_of_something_else(small_property, farm, oats, species):
    old = Offer.objects.get(species=oats)
    sent(small_property, old)
    with pytest.raises(Conflict, match="has chosen this offer"):
        save_offer(property=farm, offer=old, species=species("cereal_rye"))
    assert Offer.objects.filter(species=species("cereal_rye")).count() == 0


def test_withdrawn_offer_can_be_offered_again(farm, supplier, oats):
    made = offer(farm, supplier, species=oats)
    withdraw_offer(offer=made)
    offer_again(offer=made)
    assert list(open_offers(farm, date(2026, 11, 1))) == [made]


def test_open_offers_leave_out_what_cannot_be_had(farm, oats, supplier):
    mill, today = add_supplier(property=farm, name="Mill"), date(2026, 11, 1)
    lasting = offer(farm, supplier, species=oats)
    last_day = offer(farm, supplier, species=oats, valid_until=today)
    offer(farm, supplier, species=oats, valid_until=date(2026, 10, 31))
    offer(farm, mill, species=oats)
    withdraw_offer(offer=offer(farm, supplier, species=oats))
    archive_supplier(supplier=mill)
    assert set(open_offers(farm, today)) == {lasting, last_day}


def test_order_that_took_a_way_to_buy_with_the_offer_hears_of_its_price(small_property, farm, oats):
    other = offer(farm, farm.suppliers.get(), species=oats)
    small_property.plans.create(
        inputs_version=small_property.inputs_version,
        found={"lines": [{"offer_id": other.pk, "packs": 4, "price_usd": "22.00"}]},
        taken_at=datetime(2026, 11, 1, tzinfo=UTC),
    )
    save_offer(property=farm, offer=other, quoted_usd=Decimal(23))
    before = small_property.inputs_version
    small_property.refresh_from_db()
    assert small_property.inputs_version == before + 1


def test_expired_offer_is_kept_where_it_was_chosen_and_not_chosen_anew(farm, order, supplier, oats):
    kept = offer(farm, supplier, species=oats)
    choose(order=order, species=oats, offer=kept)
    kept = save_offer(property=farm, offer=kept, valid_until=date(2026, 1, 31))
    late = offer(farm, supplier, species=oats, valid_until=date(2026, 1, 31))
    assert choose(order=order, species=oats, offer=kept).offer == kept
    with pytest.raises(Refused, match="was valid until 2026-01-31"):
        choose(order=order, species=oats, offer=late)


def test_offer_of_an_archived_supplier_is_not_chosen(farm, order, supplier, oats):
    made = offer(farm, supplier, species=oats)
    archive_supplier(supplier=supplier)
    made.refresh_from_db()
    with pytest.raises(Refused, match="Co-op is archived"):
        choose(order=order, species=oats, offer=made)


def test_line_is_offered_what_is_open_and_what_it_has(small_property, farm, oats):
    coop = farm.suppliers.get()
    late = offer(farm, coop, species=oats, valid_until=date(2026, 1, 31))
    line = small_property.orderlines.get(species=oats)
    assert late not in offers_by_item(small_property, [line])[line.pk]
    line.offer = late
    assert late in offers_by_item(small_property, [line])[line.pk]


def test_price_of_seed_today_is_not_one_that_has_expired(farm, supplier, oats):
    offer(farm, supplier, species=oats, price_usd=Decimal(10), valid_until=date(2026, 1, 31))
    open_one = offer(farm, supplier, species=oats, price_usd=Decimal(22))
    assert prices(farm, [oats.pk]).by_species[oats.pk].offer == open_one
