"""A small property to plan on: species of the reference table and blends made through the services."""

from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import uuid4

import pytest
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

from blends.models import Lot, Species
from blends.services.blends import save_blend
from blends.services.offers import add_supplier, save_offer
from blends.services.orders import choose, recompute_order, set_terms
from blends.services.seasons import assign, open_season, record_planted
from fieldlog.services.visits import record_visit
from plots.models import Landmark
from plots.services.boundaries import set_boundary
from plots.services.people import make_api_token


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
def make_lot(farm, species):
    """A lot on hand: a species' key, its purity and germination in %, pounds as if the ledger had them."""

    def make(key, purity, germination, on_hand="500", **values):
        row = Lot.objects.create(
            property=farm,
            species=species(key),
            purity_pct=Decimal(purity),
            germination_pct=Decimal(germination),
            lot_number=values.pop("lot_number", f"{key}-1"),
            **values,
        )
        Lot.objects.filter(pk=row.pk).update(on_hand_lb=Decimal(on_hand))
        return row

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


@pytest.fixture
def ask(client, viewer):
    """ask("collections", limit=3) -> the answer of /ogc/ to the viewer's token."""
    _, secret = make_api_token(user=viewer, name="GIS")

    def ask(address="", headers=None, **query):
        headers = {"Authorization": f"Bearer {secret}"} | (headers or {})
        return client.get(f"/ogc/{address}", query, headers=headers)

    ask.secret = secret
    return ask


@pytest.fixture
def ground(farm, owner, make_plot):
    """Seven plots a hundredth of a degree apart from west to east, the third with a hole, and one without boundary.

    The first three were planted on three days of September 2024, then the first got another boundary; the fourth
    is planned, the fifth fallow. The second and third were visited, and the one without boundary. A gate, a road and
    an area to keep out of are marked.
    """
    plots = []
    for number in range(7):
        west = -92 + number / 100
        hole = [box(west + 0.001, 38.001, west + 0.003, 38.003).exterior.coords] if number == 2 else []
        outline = MultiPolygon([Polygon(box(west, 38, west + 0.005, 38.005).exterior.coords, hole)])
        plots.append(make_plot(f"Plot {number}", geometry=outline, acres=3 + number))
    plots.append(make_plot("Unmapped", acres=None))
    blend = save_blend(property=farm, user=owner, name="Grain", kind="mixed", components=[])
    season = open_season(property=farm, year=2024, kind="cool")
    given = [{"plot_id": plot.pk, "blend_id": blend.pk} for plot in plots[:4]]
    given.append({"plot_id": plots[4].pk, "fallow": True})
    assign(season=season, user=owner, assignments=given)
    for day, planting in enumerate(season.plantings.order_by("pk")[:3], start=1):
        record_planted(planting=planting, on=date(2024, 9, day), acres="2.5")
    plots[0].refresh_from_db()
    set_boundary(plot=plots[0], geometry=box(-93, 39, -92.995, 39.005), user=owner, how="drawn")
    for plot, day, note in [(plots[1], 2, "Up."), (plots[2], 20, ""), (plots[-1], 25, "Rocks.")]:
        visited_at = datetime(2024, 9, day, 16, 5, tzinfo=UTC)
        record_visit(id=uuid4(), plot=plot, user=owner, visited_at=visited_at, note=note)
    marks = [
        ("gate", "East gate", Point(-91.9901, 38.001)),
        ("road", "", LineString([(-92, 38.01), (-91.95, 38.01)])),
        ("keep_out", "Bog", box(-91.94, 38.02, -91.935, 38.025)),
    ]
    for kind, name, geometry in marks:
        Landmark.objects.create(property=farm, kind=kind, name=name, geometry=geometry, created_by=owner)
    return plots
