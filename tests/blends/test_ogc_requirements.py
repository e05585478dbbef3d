"""/ogc/ against OGC API – Features – Part 1: Core corrigendum, OGC 17-069r4 (Open Geospatial Consortium, 2022).

A test a requirement of the classes that /conformance names, under the name that the standard gives it; each is asked
of every collection. http://www.opengis.net/spec/ogcapi-features-1/1.0/req/… is left out of the names. The requirement
/req/core/http is the web server's, which tests/running starts; that a GIS reads it all is in test_ogc_clients.py.
"""

import re
from datetime import datetime

import jsonschema
import pytest
from drf_spectacular.validation import validate_schema
from shapely.geometry import box, shape

from blends.ogc.kinds import KINDS

CRS84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
BOX = (-92.001, 37.9, -91.9775, 38.02)
COLLECTIONS = [f"tally-hollow-{kind}" for kind in KINDS]
MOMENT = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ"


@pytest.fixture
def get(ask, ground):
    """get("collections", limit=2) -> the document, after the requirement -success or -response: the status is 200."""

    def get(address="", **query):
        answer = ask(address, **query)
        assert answer.status_code == 200, answer.content
        return answer.json()

    return get


@pytest.fixture(params=COLLECTIONS)
def collection(request):
    return f"collections/{request.param}"


def by_rel(document):
    found = {}
    for link in document["links"]:
        found.setdefault(link["rel"], []).append(link)
    return found


def types(links):
    return {link["type"].partition(";")[0] for link in links}


def test_core_root_op_and_root_success(get):
    """The landing page has links to the API definition, the conformance declaration and the collections."""
    links = by_rel(get())
    assert {"service-desc", "service-doc", "conformance", "data"} <= set(links)


def test_core_api_definition_op_and_api_definition_success(get, ask):
    """The document that the link with relation service-desc names, in the form that its type says."""
    (link,) = by_rel(get())["service-desc"]
    answer = ask(link["href"].removeprefix("http://testserver/ogc/"))
    assert (answer.status_code, answer["Content-Type"]) == (200, link["type"])
    assert answer.json()["openapi"]


def test_core_conformance_op_and_conformance_success(get):
    classes = get("conformance")["conformsTo"]
    root = "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/"
    assert classes == [f"{root}core", f"{root}oas30", f"{root}geojson"]


def test_core_query_param_unknown(ask, ground, collection):
    for address in ("", "conformance", "collections", collection, f"{collection}/items"):
        assert ask(address, unknown="1").status_code == 400


@pytest.mark.parametrize(
    "query",
    [
        *({"limit": "0"}, {"limit": "many"}, {"bbox": "1,2,3"}, {"bbox": "a,b,c,d"}, {"datetime": "soon"}),
        *({"datetime": "2024-09-03T00:00:00Z/2024-09-01T00:00:00Z"}, {"bbox": "0,10,1,9"}),
    ],
)
def test_core_query_param_invalid(ask, ground, collection, query):
    assert ask(f"{collection}/items", **query).status_code == 400


def test_core_crs84(get, collection):
    """Geometries are longitude and latitude, in that order."""
    assert get(collection)["crs"] == [CRS84]
    for feature in get(f"{collection}/items")["features"]:
        if feature["geometry"]:
            west, south, east, north = shape(feature["geometry"]).bounds
            assert -94 < west <= east < -91
            assert 37 < south <= north < 40


def test_core_fc_md_op_fc_md_success_and_fc_md_items(get):
    """A description of every collection, which is all there are."""
    assert [each["id"] for each in get("collections")["collections"]] == COLLECTIONS


def test_core_fc_md_links(get):
    links = by_rel(get("collections"))
    assert types(links["self"]) == {"application/json"}
    assert types(links["alternate"]) == {"text/html"}


def test_core_fc_md_items_links(get):
    """Each description leads to the features in every form."""
    for each in get("collections")["collections"]:
        assert types(by_rel(each)["items"]) == {"application/geo+json", "text/html"}
        assert all(link["rel"] and link["type"] for link in each["links"])


def test_core_fc_md_extent_and_fc_md_extent_multi(get, collection):
    """The first box, here the only one, covers every geometry; the interval every moment."""
    extent = get(collection)["extent"]
    (bounds,) = extent["spatial"]["bbox"]
    features = get(f"{collection}/items")["features"]
    assert all(box(*bounds).covers(shape(each["geometry"])) for each in features if each["geometry"])
    days = [
        each["properties"].get("planted_on") or each["properties"].get("visited_at", "")[:10]
        for each in features
    ]
    if any(days):
        ((first, last),) = extent["temporal"]["interval"]
        assert all(first[:10] <= day <= last[:10] for day in days if day)
        assert re.fullmatch(MOMENT, first)
    else:
        assert "temporal" not in extent


def test_core_sfc_md_op_and_sfc_md_success(get):
    for each in get("collections")["collections"]:
        assert get(f"collections/{each['id']}") == each


def test_core_fc_op(get, ask, collection):
    assert get(f"{collection}/items")["features"]
    assert ask("collections/nowhere/items").status_code == 404


def parameter(get, name):
    return get("api")["components"]["parameters"][name]


def test_core_fc_limit_definition(get):
    """Least, most and default are the server's own; that more than the most is no error speaks against a maximum."""
    found = parameter(get, "limit")
    assert (found["in"], found["required"], found["style"], found["explode"]) == (
        "query",
        False,
        "form",
        False,
    )
    assert (found["schema"]["type"], found["schema"]["minimum"], found["schema"]["default"]) == (
        "integer",
        1,
        100,
    )


def test_core_fc_limit_response_1(get, collection):
    """No more than the limit at the first level; more than the most is answered with the most."""
    assert len(get(f"{collection}/items", limit=1)["features"]) == 1
    assert len(get(f"{collection}/items", limit=2)["features"]) == 2
    assert get(f"{collection}/items", limit=10**12)["features"] == get(f"{collection}/items")["features"]


def test_core_fc_bbox_definition(get):
    found = parameter(get, "bbox")
    assert (found["in"], found["required"], found["style"], found["explode"]) == (
        "query",
        False,
        "form",
        False,
    )
    assert found["schema"] == {
        "type": "array",
        "oneOf": [{"minItems": 4, "maxItems": 4}, {"minItems": 6, "maxItems": 6}],
        "items": {"type": "number"},
    }


def test_core_fc_bbox_response(get, collection):
    """What intersects the box, and what has no geometry; six numbers say the same as four."""
    everything = get(f"{collection}/items")["features"]
    expected = [
        each
        for each in everything
        if each["geometry"] is None or shape(each["geometry"]).intersects(box(*BOX))
    ]
    west, south, east, north = BOX
    for text in (f"{west},{south},{east},{north}", f"{west},{south},-5,{east},{north},900"):
        assert get(f"{collection}/items", bbox=text)["features"] == expected
    assert 0 < len(expected) < len(everything)


def test_core_fc_time_definition(get):
    found = parameter(get, "datetime")
    assert (found["in"], found["required"], found["style"], found["explode"]) == (
        "query",
        False,
        "form",
        False,
    )
    assert found["schema"] == {"type": "string"}


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2024-09-02T16:05:00Z", "2024-09-02", "2024-09-02"),
        ("2024-09-02T00:00:00Z/..", "2024-09-02", "9"),
        ("2024-09-02T00:00:00Z/", "2024-09-02", "9"),
        ("../2024-09-02T23:59:59Z", "0", "2024-09-02"),
        ("/2024-09-02T23:59:59Z", "0", "2024-09-02"),
        ("2024-09-02T00:00:00Z/2024-09-20T23:59:59Z", "2024-09-02", "2024-09-20"),
    ],
)
def test_core_fc_time_response(get, collection, text, first, last):
    """What was then, and what has no time."""

    def was_then(feature):
        facts = feature["properties"]
        day = facts.get("planted_on") or facts.get("visited_at", "")[:10]
        return not day or first <= day <= last

    expected = [each for each in get(f"{collection}/items")["features"] if was_then(each)]
    assert get(f"{collection}/items", datetime=text)["features"] == expected


def test_core_fc_response_fc_links_and_fc_rel_type(get, collection):
    """To itself and to its other form; every link has its relation and type."""
    for query in ({}, {"limit": 1}, {"limit": 1, "offset": 1}):
        links = by_rel(get(f"{collection}/items", **query))
        assert types(links["self"]) == {"application/geo+json"}
        assert types(links["alternate"]) == {"text/html"}
        assert all(link["rel"] and link["type"] for each in links.values() for link in each)


def test_core_fc_timestamp(get, collection):
    stamp = get(f"{collection}/items")["timeStamp"]
    assert re.fullmatch(MOMENT, stamp)
    assert abs((datetime.fromisoformat(stamp) - datetime.now().astimezone()).total_seconds()) < 60


def test_core_fc_number_matched_and_fc_number_returned(get, collection):
    everything = len(get(f"{collection}/items")["features"])
    page = get(f"{collection}/items", limit=2)
    assert (page["numberMatched"], page["numberReturned"]) == (everything, 2)


def test_core_rec_fc_next_links_lead_to_all(get, collection):
    """Permission and recommendations fc-next-1 to 3: a page that leaves some out leads to the next."""
    seen, query = [], {"limit": 2}
    while query:
        page = get(f"{collection}/items", **query)
        seen += [each["id"] for each in page["features"]]
        following = by_rel(page).get("next")
        query = following and dict(
            pair.split("=") for pair in following[0]["href"].partition("?")[2].split("&")
        )
    assert seen == [each["id"] for each in get(f"{collection}/items")["features"]]
    assert len(set(seen)) == len(seen)


def test_core_f_op_f_success_and_f_links(get, collection):
    for each in get(f"{collection}/items")["features"]:
        feature = get(f"{collection}/items/{each['id']}")
        links = by_rel(feature)
        assert types(links["self"]) == {"application/geo+json"}
        assert types(links["alternate"]) == {"text/html"}
        assert types(links["collection"]) == {"application/json"}
        assert feature["id"] == each["id"]


def test_oas30_oas_definition_1_and_2(get):
    """As JSON and as a page; the JSON is OpenAPI 3.0."""
    landing = by_rel(get())
    assert types(landing["service-doc"]) == {"text/html"}
    validate_schema(get("api"))


def test_oas30_oas_impl_and_completeness(get, ask):
    """What is answered is what the definition says, operation by operation."""
    document = get("api")
    document["components"]["schemas"]["feature"]["properties"]["geometry"] = {}  # nullable is not JSON Schema
    for name in COLLECTIONS:
        first = get(f"collections/{name}/items", limit=1)["features"][0]["id"]
        for path, methods in document["paths"].items():
            address = path.replace("{collectionId}", name).replace("{featureId}", str(first)).lstrip("/")
            answer, said = ask(address), methods["get"]["responses"]["200"]["content"]
            assert answer["Content-Type"] in said
            schema = said[answer["Content-Type"]]["schema"] | {"components": document["components"]}
            jsonschema.validate(answer.json(), schema)


def test_oas30_exceptions_codes_and_security(get, ask, client, collection):
    """Every status that is answered stands in the definition, and every way to sign in."""
    document = get("api")
    for path, methods in document["paths"].items():
        expected = {"200", "400", "401"} | ({"404"} if "{" in path else set())
        assert set(methods["get"]["responses"]) == expected
    assert set(document["components"]["securitySchemes"]) == {"basic", "bearer", "token"}
    client.logout()
    answer = client.get(f"/ogc/{collection}/items")
    assert answer.status_code == 401
    jsonschema.validate(answer.json(), document["components"]["schemas"]["exception"])


def test_geojson_definition_and_content(get, ask, collection):
    """application/geo+json, and RFC 7946 in what it says of geometries, ids and links."""
    answer = ask(f"{collection}/items")
    assert answer["Content-Type"] == "application/geo+json"
    page = answer.json()
    assert page["type"] == "FeatureCollection"
    for feature in page["features"]:
        assert (feature["type"], set(feature)) == ("Feature", {"type", "id", "geometry", "properties"})
        assert feature["geometry"] is None or shape(feature["geometry"]).is_valid
    assert ask(f"{collection}/items/{page['features'][0]['id']}")["Content-Type"] == "application/geo+json"


def test_html_beside_json(get, ask, collection):
    """Recommendation /rec/core/html: every document is a page for who asks for one."""
    for address in ("", "api", "conformance", "collections", collection, f"{collection}/items"):
        page = ask(address, headers={"Accept": "text/html"})
        assert (page.status_code, page["Content-Type"]) == (200, "text/html; charset=utf-8")
        assert page.text.lower().startswith("<!doctype html>")
    first = get(f"{collection}/items")["features"][0]
    page = ask(f"{collection}/items/{first['id']}", headers={"Accept": "text/html"})
    for value in first["properties"].values():
        if isinstance(value, str):
            assert value in page.text
