"""OGC API – Features. Without a token or a session every address answers 401, be there something or not."""

from plots.models import Plot
from tests.isolation import MEMBERS, PEOPLE, Row

SIGNED_IN = [person for person in PEOPLE if person != "nobody"]
CLOSED = {"but": {"nobody": 401}}

ROWS = [
    Row("ogc-landing", "GET", SIGNED_IN, **CLOSED),
    Row("ogc-api", "GET", SIGNED_IN, **CLOSED),
    Row("ogc-conformance", "GET", SIGNED_IN, **CLOSED),
    # One's own; tests/blends/test_ogc_access.py looks into it.
    Row("ogc-collections", "GET", SIGNED_IN, **CLOSED),
    Row("ogc-collection", "GET", MEMBERS, **CLOSED),
    Row("ogc-items", "GET", MEMBERS, **CLOSED),
    Row("ogc-item", "GET", MEMBERS, **CLOSED),
    Row("ogc-nothing", "GET", SIGNED_IN, 404, **CLOSED),
]


def things(farm, owner):
    return {
        "collection_id": f"{farm.slug}-plots",
        "feature_id": Plot.objects.create(property=farm, name="Ridge").pk,
        "rest": "nowhere/at/all",
    }
