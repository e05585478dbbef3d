"""A small property to plan on: species of the reference table and blends made through the services."""

from decimal import Decimal

import pytest

from blends.models import Species
from blends.services.blends import save_blend
from blends.services.offers import add_supplier, save_offer
from blends.services.orders import choose, recompute_order, set_terms
from blends.services.seasons import assign, open_season


@pytest.fixture
def species(db):
    """A reference species by its key."""

    def find(key):
        return Species.objects.get(key=key, property=None)

    return find


@pytest.fixture
def season(farm):
    return open_season(property=farm, year=2027, kind="cool")


@pytest.fixture
def order(season):
    return season.order


@pytest.fixture
def make_mixed(farm, owner, species):
    """A blend mixed here: {species key: (drilled, broadcast)} in PLS lb/ac."""

    def make(name, rates, property=None, blend=None, user=None):
        components = [
            {
                "species_id": species(key).pk,
                "drilled_pls_lb_per_acre": drilled and Decimal(drilled),
                "broadcast_pls_lb_per_acre": broadcast and Decimal(broadcast),
            }
            for key, (drilled, broadcast) in rates.items()
        ]
        return save_blend(
            property=property or farm,
            user=user or owner,
            name=name,
            kind="mixed",
            components=components,
            blend=blend,
        )

    return make


@pytest.fixture
def make_bought(farm, owner, species):
    """A bought mix: bulk lb/ac and {species key: (% by weight, germination %)}."""

    def make(name, drilled, tag, property=None, blend=None, broadcast=None):
        components = [
            {
                "species_id": species(key).pk,
                "tag_pct_by_weight": Decimal(share),
                "tag_germination_pct": Decimal(germination),
            }
            for key, (share, germination) in tag.items()
        ]
        return save_blend(
            property=property or farm,
            user=owner,
            name=name,
            kind="bought",
            components=components,
            blend=blend,
            drilled_bulk_lb_per_acre=drilled and Decimal(drilled),
            broadcast_bulk_lb_per_acre=broadcast and Decimal(broadcast),
        )

    return make


@pytest.fixture
def make_offer(farm):
    """An offer of a species or a bought mix, with the tag where it is given."""

    def make(thing, pack_lb, price_usd, tag=None, property=None, **values):
        property = property or farm
        supplier = property.suppliers.first() or add_supplier(property=property, name="Co-op")
        if tag:
            values |= dict(
                zip(("purity_pct", "germination_pct", "hard_pct"), map(Decimal, tag), strict=False)
            )
        what = "species" if isinstance(thing, Species) else "blend"
        return save_offer(
            property=property,
            supplier=supplier,
            pack_lb=Decimal(pack_lb),
            price_usd=Decimal(price_usd),
            **{what: thing},
            **values,
        )

    return make


@pytest.fixture
def small_property(order, season, owner, make_plot, make_mixed, make_bought, make_offer, species):
    """Three plots, two blends, three offers.

    Grain is 60 lb PLS/ac of oats and 5 of crimson clover drilled; 75 and 8 broadcast. The bag is sown at
    20 bulk lb/ac.

    North 2 ac drilled and South 0.5 ac broadcast with Grain, Creek 1.5 ac with the bag; 10 % overage.

    Oats, tag 98 % × 90 % = 0.882, 50-lb packs at 22.00, 30 lb on hand:
        planted (2 × 60 + 0.5 × 75) ÷ 0.882 = 157.5 ÷ 0.882 = 178.571 lb
        needed 196.429, to buy 166.429, 4 packs = 200 lb at 88.00; left over 30 + 200 − 178.571 = 51.429
        used 178.571 × 0.44 = 78.57
    Crimson clover, no tag, so 98 % × 85 % = 0.833 assumed, 25-lb packs at 60.00:
        planted (2 × 5 + 0.5 × 8) ÷ 0.833 = 14 ÷ 0.833 = 16.807 lb
        needed 18.487, 1 pack = 25 lb at 60.00; left over 8.193; used 16.807 × 2.40 = 40.34
    Bag, 10-lb packs at 35.00:
        planted 30, needed 33, 4 packs at 140.00, left over 10; used 30 × 3.50 = 105.00

    Bought 288.00 on 4 acres = 72.00/ac; used 223.91 = 55.98/ac.
    """
    north, south = make_plot("North", acres=2), make_plot("South", acres=0.5)
    creek = make_plot("Creek", acres=1.5)
    oats, clover = species("oats"), species("crimson_clover")
    grain = make_mixed("Grain", {"oats": ("60", "75"), "crimson_clover": ("5", "8")})
    bag = make_bought("Bag", "20", {"chicory": ("50", "80"), "white_clover": ("45", "90")})
    assign(
        season=season,
        user=owner,
        assignments=[
            {"plot_id": north.pk, "blend_id": grain.pk, "method": "drilled"},
            {"plot_id": south.pk, "blend_id": grain.pk, "method": "broadcast"},
            {"plot_id": creek.pk, "blend_id": bag.pk},
        ],
    )
    terms = {"assumed_purity_pct": Decimal(98), "assumed_germination_pct": Decimal(85)}
    set_terms(order=order, overage_pct=Decimal(10), **terms)
    oats_offer = make_offer(oats, "50", "22.00", tag=("98", "90"))
    choose(order=order, species=oats, offer=oats_offer, on_hand_lb=Decimal(30))
    choose(order=order, species=clover, offer=make_offer(clover, "25", "60.00"))
    choose(order=order, blend=bag, offer=make_offer(bag, "10", "35.00"))
    recompute_order(order.pk)
    order.refresh_from_db()
    return order
