"""The pages of overview and plots, species, blends, seasons, orders and offers.

They stand on what the modules before this one make.
"""

from blends.models import Species
from tests.isolation import COSTS, EDITORS, MEMBERS, RECORDERS, Row

# The reference table is every property's; what one writes about it stays on its own property.
REFERENCE = {"named": {"species_id": "reference_id"}, "query": "?field=seeds_per_lb", "is_shared": True}

ROWS = [
    Row("overview", "GET", MEMBERS),
    Row("overview-outlines", "GET", MEMBERS),
    Row("plot", "GET", MEMBERS),
    Row("plot-edit", "GET", EDITORS),
    Row("plot-edit", "POST", EDITORS),
    Row("species-list", "GET", MEMBERS),
    Row("species-new", "GET", EDITORS),
    Row("species-new", "POST", EDITORS),
    Row("species", "GET", MEMBERS),
    Row("species-override", "GET", EDITORS, **REFERENCE),
    Row("species-override", "POST", EDITORS, **REFERENCE),
    Row("blends", "GET", MEMBERS),
    Row("blends-compare", "GET", MEMBERS),
    Row("blend-new", "GET", EDITORS),
    Row("blend-new", "POST", EDITORS),
    Row("blend-figures", "POST", EDITORS),
    Row("blend", "GET", MEMBERS),
    Row("blend", "POST", EDITORS),
    Row("blend-edit", "GET", EDITORS),
    Row("blend-edit", "POST", EDITORS),
    Row("seasons", "GET", MEMBERS),
    Row("seasons", "POST", EDITORS),
    Row("season", "GET", MEMBERS),
    Row("season", "POST", EDITORS, body={"act": "save"}),
    Row("season-planted", "GET", RECORDERS),
    Row("season-planted", "POST", RECORDERS),
    # To the order of the latest season.
    Row("orders", "GET", COSTS, 302),
    Row("order", "GET", COSTS),
    Row("order", "POST", EDITORS),
    Row("order-sheet", "GET", COSTS),
    # An order that has not been computed yet is in no file.
    Row("order-file", "GET", COSTS, 409),
    Row("order-line", "GET", COSTS),
    Row("order-line", "POST", EDITORS),
    Row("offers", "GET", COSTS),
    Row("offer-new", "GET", EDITORS),
    Row("offer-new", "POST", EDITORS),
    Row("offer-edit", "GET", EDITORS),
    Row("offer-edit", "POST", EDITORS),
]


def things(farm, owner):
    reference = Species.objects.create(
        key="reference-rye", common_name="Reference rye", group="cool_grass", seeds_per_lb=18_000
    )
    return {"form": "csv", "reference_id": reference.pk}
