"""Ways to buy an order and its substitutions, by pages and API.

The name of this module comes before seasons, so that it makes a property's order of its own.
"""

from blends.models import BuyingPlan
from blends.services.seasons import open_season
from tests.isolation import COSTS, EDITORS, Row

OF_THIS = {"season": "buying_season"}

ROWS = [
    Row("ways-latest", "GET", COSTS, 302),
    Row("ways", "GET", COSTS, named=OF_THIS),
    Row("ways", "POST", EDITORS, named=OF_THIS),
    Row("way", "GET", COSTS, named=OF_THIS),
    Row("way", "POST", EDITORS, named=OF_THIS),
    Row("order-substitutes", "GET", COSTS, named=OF_THIS),
    Row("order-substitutes", "POST", EDITORS, named=OF_THIS),
    Row("api-ways", "GET", COSTS, named=OF_THIS),
    Row("api-ways", "POST", EDITORS, 202, named=OF_THIS),
    Row("api-ways-own", "POST", EDITORS, 204, named=OF_THIS),
    Row("api-way", "GET", COSTS, named=OF_THIS),
    # Nothing was found by it, so there is nothing to take.
    Row("api-way-take", "POST", EDITORS, 409, named=OF_THIS),
    Row("api-way-cancel", "POST", EDITORS, 202, named=OF_THIS),
    Row("api-substitutions", "GET", COSTS, named=OF_THIS),
    Row("api-substitutions", "POST", EDITORS, 400, named=OF_THIS),
    Row("api-substitution", "DELETE", EDITORS, 204, named=OF_THIS),
]


def things(farm, owner):
    season = open_season(property=farm, year=2031, kind="warm")
    plan = BuyingPlan.objects.create(order=season.order, inputs_version=1, created_by=owner)
    return {"plan_id": plan.pk, "buying_season": season.slug}
