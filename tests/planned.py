"""Invented planning for tests: fourteen plots, three blends, what suppliers ask, and a season's order."""

from decimal import Decimal

from blends.models import Species
from blends.services.blends import save_blend
from blends.services.offers import add_supplier, save_offer
from blends.services.orders import choose, recompute_order
from blends.services.seasons import assign, open_season
from tests.scenery import lay_out

FALL = {
    "cereal_rye": ("25", "35"),
    "oats": ("20", "30"),
    "crimson_clover": ("4", "6"),
    "hairy_vetch": ("4", "6"),
    "austrian_winter_pea": ("12", "18"),
    "forage_radish": ("1.5", "2"),
    "purple_top_turnip": ("0.5", "1"),
}
SUMMER = {"cowpea": ("15", "25"), "sunflower": ("2", "3"), "buckwheat": ("10", "15"), "sunn_hemp": ("6", "8")}
BAG = {
    "white_clover": ("20", "85"),
    "red_clover": ("30", "88"),
    "chicory": ("10", "80"),
    "alfalfa": ("25", "90"),
}


class Planned:
    """What `plan_a_property` made, by name."""

    def __init__(self, **things):
        self.__dict__.update(things)


def plan_a_property(farm, owner):
    """A cool season in which two plots are undecided and one is fallow, with its computed order."""
    plots = lay_out(farm, 14)
    fall, summer, bag = (
        _mixed(farm, owner, "Fall Greens", FALL),
        _mixed(farm, owner, "Summer Plate", SUMMER),
        _bag(farm, owner),
    )
    season = open_season(property=farm, year=2026, kind="cool")
    uses = [
        {"plot_id": plot.pk, "blend_id": (bag if i % 3 == 0 else fall).pk}
        for i, plot in enumerate(plots[:11])
    ]
    assign(season=season, user=owner, assignments=[*uses, {"plot_id": plots[11].pk, "fallow": True}])
    supplier = add_supplier(property=farm, name="Millbrook Seed")
    for key in (
        "cereal_rye",
        "oats",
        "crimson_clover",
        "hairy_vetch",
        "austrian_winter_pea",
        "forage_radish",
    ):
        tag = {} if key == "oats" else {"purity_pct": Decimal(98), "germination_pct": Decimal(88)}
        item = {"species": Species.objects.get(key=key)}
        offer = save_offer(
            property=farm, supplier=supplier, pack_lb=Decimal(50), price_usd=Decimal("39.50"), **tag, **item
        )
        choose(order=season.order, offer=offer, **item)
    offer = save_offer(
        property=farm, supplier=supplier, blend=bag, pack_lb=Decimal(25), price_usd=Decimal("119.00")
    )
    choose(order=season.order, blend=bag, offer=offer)
    recompute_order(season.order.pk)
    return Planned(plots=plots, fall=fall, summer=summer, bag=bag, season=season)


def _mixed(farm, owner, name, rates):
    components = [
        {
            "species_id": Species.objects.get(key=key).pk,
            "drilled_pls_lb_per_acre": Decimal(drilled),
            "broadcast_pls_lb_per_acre": Decimal(broadcast),
        }
        for key, (drilled, broadcast) in rates.items()
    ]
    return save_blend(property=farm, user=owner, name=name, kind="mixed", components=components)


def _bag(farm, owner):
    components = [
        {
            "species_id": Species.objects.get(key=key).pk,
            "tag_pct_by_weight": Decimal(share),
            "tag_germination_pct": Decimal(germination),
        }
        for key, (share, germination) in BAG.items()
    ]
    return save_blend(
        property=farm,
        user=owner,
        name="Clover Base",
        kind="bought",
        components=components,
        drilled_bulk_lb_per_acre=Decimal(12),
        broadcast_bulk_lb_per_acre=Decimal(16),
    )
