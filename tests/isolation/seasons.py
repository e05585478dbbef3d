"""Species, blends, seasons, offers and orders by the API.

The name of this module comes after plots: what it makes stands on the plot that is made there.
"""

from datetime import date
from decimal import Decimal

from blends.models import Planting
from blends.services.blends import save_blend
from blends.services.clippings import record_clipping
from blends.services.offers import add_supplier, save_offer
from blends.services.orders import choose
from blends.services.seasons import assign, open_season
from blends.services.species import add_species, override_value
from plots.models import Plot
from tests.isolation import COSTS, EDITORS, MEMBERS, PEOPLE, RECORDERS, Row

SIGNED_IN = [person for person in PEOPLE if person != "nobody"]
BLEND = {"name": "Clover", "kind": "mixed", "components": []}
TERMS = {"overage_pct": "7.00"}
PLANTED = {"planted_on": "2024-09-01", "planted_acres": "1.5"}

ROWS = [
    Row("api-sources", "GET", SIGNED_IN),
    Row("api-species-list", "GET", MEMBERS),
    Row("api-species-list", "POST", EDITORS, 201, body={"common_name": "Hill millet", "group": "warm_grass"}),
    Row("api-species", "GET", MEMBERS),
    Row("api-overrides", "GET", MEMBERS),
    Row("api-overrides", "POST", EDITORS, 201, body={"field": "seeds_per_lb", "value": "15000"}),
    Row("api-override", "DELETE", EDITORS, 204),
    Row("api-blends", "GET", MEMBERS),
    Row("api-blends", "POST", EDITORS, 201, body=BLEND),
    Row("api-draft-figures", "POST", MEMBERS, body=BLEND),
    Row("api-blend", "GET", MEMBERS),
    Row("api-blend", "PUT", EDITORS, body=BLEND),
    Row("api-blend", "PATCH", EDITORS, body={"is_archived": True}),
    Row("api-blend-figures", "GET", MEMBERS),
    Row("api-blend-judgement", "GET", MEMBERS),
    Row("api-draft-judgement", "POST", MEMBERS, body=BLEND),
    Row("api-blends-compare", "GET", MEMBERS, query="?blend={blend_id}&blend={second_blend_id}"),
    Row("api-clippings", "GET", MEMBERS),
    Row("api-clippings", "POST", RECORDERS, 400),
    Row("api-clipping", "DELETE", RECORDERS, 204),
    Row("api-seasons", "GET", MEMBERS),
    Row("api-seasons", "POST", EDITORS, body={"year": 2028, "kind": "warm"}),
    Row("api-season", "GET", MEMBERS),
    Row("api-plantings", "GET", MEMBERS),
    Row("api-plantings", "PUT", EDITORS, body=[]),
    Row("api-planting", "PATCH", RECORDERS, body=PLANTED),
    Row("api-season-copy", "POST", EDITORS, body={"from_season": "2027-cool"}),
    Row("api-order", "GET", COSTS),
    Row("api-order", "PATCH", EDITORS, body=TERMS),
    Row("api-order-item", "GET", COSTS),
    Row("api-order-choices", "GET", COSTS),
    Row("api-order-choices", "PUT", EDITORS, 400),
    Row("api-suppliers", "GET", COSTS),
    Row("api-suppliers", "POST", EDITORS, 201, body={"name": "Mill"}),
    Row("api-offers", "GET", COSTS),
    Row("api-offers", "POST", EDITORS, 400),
    Row("api-offer", "GET", COSTS),
    Row("api-offer", "PUT", EDITORS, 400),
    Row("api-offer", "DELETE", EDITORS, 204),
]


def things(farm, owner):
    # Of the property's own: the reference table is seen from every property.
    own = add_species(property=farm, user=owner, common_name="Creek millet", group="warm_grass")
    override = override_value(property=farm, species=own, user=owner, field="seeds_per_lb", value="14000")
    components = [{"species_id": own.pk, "drilled_pls_lb_per_acre": Decimal(60)}]
    blend = save_blend(property=farm, user=owner, name="Grain", kind="mixed", components=components)
    second = save_blend(property=farm, user=owner, name="Grain too", kind="mixed", components=components)
    season = open_season(property=farm, year=2027, kind="cool")
    plot = Plot.objects.get(property=farm, name="North Bench")
    assignments = [{"plot_id": plot.pk, "blend_id": blend.pk, "method": Planting.Method.DRILLED}]
    assign(season=season, user=owner, assignments=assignments)
    offer = save_offer(
        property=farm,
        supplier=add_supplier(property=farm, name="Co-op"),
        species=own,
        pack_lb=Decimal(50),
        price_usd=Decimal(22),
    )
    choose(order=season.order, species=own, offer=offer)
    clipping = record_clipping(
        blend=blend,
        user=owner,
        species_id=own.pk,
        stage="leafy",
        clipped_on=date(2026, 4, 20),
        frames=3,
        frame_ft2=Decimal("2.4"),
        dry_g=Decimal(90),
    )
    return {
        "clipping_id": clipping.pk,
        "species_id": own.pk,
        "override_id": override.pk,
        "blend_id": blend.pk,
        "second_blend_id": second.pk,
        "season": season.slug,
        "kind": "species",
        "item_id": own.pk,
        "offer_id": offer.pk,
    }
