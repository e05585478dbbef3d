"""The documents of OGC API – Features around the items."""

import json
import re

import jsonschema
import pytest
from django.test import Client
from drf_spectacular.validation import validate_schema

from blends.ogc.kinds import KINDS
from tests.blends.pages import signed_in, words

OPENAPI = "application/vnd.oai.openapi+json;version=3.0"
PLOTS, PLANTINGS = "collections/tally-hollow-plots", "collections/tally-hollow-plantings"
OF_KINDS = [f"collections/tally-hollow-{kind}" for kind in KINDS]
PAGES = ["", "api", "conformance", "collections", *OF_KINDS, *(f"{each}/items" for each in OF_KINDS)]
BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}


def links_of(document):
    return {link["rel"]: link for link in document["links"] if link["type"] != "text/html"}


def test_landing_page_leads_to_all_that_clients_ask_for(ask, ground):
    links = links_of(ask().json())
    assert {"self", "service-desc", "conformance", "data"} <= set(links)
    assert links["service-desc"]["type"] == OPENAPI
    assert links["data"]["href"] == "http://testserver/ogc/collections"


@pytest.mark.parametrize("page", PAGES)
def test_every_link_is_absolute_has_a_type_and_answers(ask, ground, page):
    for link in ask(page).json().get("links", []):
        assert link["href"].startswith("http://testserver/ogc/")
        address, _, query = link["href"].removeprefix("http://testserver/ogc/").partition("?")
        answer = ask(address, **dict(pair.split("=") for pair in query.split("&") if pair))
        assert answer.status_code == 200
        assert answer["Content-Type"].partition("; charset")[0] == link["type"]


def test_conformance_names_the_three_classes(ask):
    assert [uri.rsplit("/", 1)[1] for uri in ask("conformance").json()["conformsTo"]] == [
        "core",
        "oas30",
        "geojson",
    ]


def test_api_document_is_openapi_and_declares_what_is_accepted(ask):
    answer = ask("api")
    document = answer.json()
    assert answer["Content-Type"] == OPENAPI
    assert document["openapi"].startswith("3.0.")
    assert document["servers"] == [{"url": "http://testserver/ogc"}]
    items = document["paths"]["/collections/{collectionId}/items"]["get"]
    named = {each["$ref"].rsplit("/", 1)[1] for each in items["parameters"]}
    assert named == {
        *("collectionId", "f", "token", "limit", "offset", "bbox", "bbox-crs", "crs", "datetime"),
    }
    assert "maximum" not in document["components"]["parameters"]["limit"]["schema"]


def test_api_document_is_valid(ask):
    document = ask("api").json()
    validate_schema(document)
    for name in re.findall(r'"#/components/([^"]+)"', json.dumps(document)):
        kind, _, name = name.partition("/")
        assert name in document["components"][kind]


def test_answers_are_as_the_api_document_says(ask, ground):
    document = ask("api").json()
    # OpenAPI 3.0 says nullable, which a JSON schema does not know
    document["components"]["schemas"]["feature"]["properties"]["geometry"] = {}
    places = {"{collectionId}": "tally-hollow-plots", "{featureId}": str(ground[0].pk)}
    for path, methods in document["paths"].items():
        for name, value in places.items():
            path = path.replace(name, value)
        answer = ask(path.lstrip("/"))
        (media_type,) = set(methods["get"]["responses"]["200"]["content"]) - {"text/html"}
        assert answer["Content-Type"] == media_type
        schema = methods["get"]["responses"]["200"]["content"][media_type]["schema"]
        jsonschema.validate(answer.json(), schema | {"components": document["components"]})


def test_collections_are_one_of_each_kind_for_each_property_and_describe_themselves(ask, ground):
    found = ask("collections").json()["collections"]
    assert [each["id"] for each in found] == [f"tally-hollow-{kind}" for kind in KINDS]
    assert list(KINDS) == ["plots", "plantings", "visits", "landmarks"]
    for each in found:
        assert each == ask(f"collections/{each['id']}").json()
        assert each["itemType"] == "feature"
        assert each["title"].endswith("of Tally Hollow")
        assert each["description"]
        assert each["crs"] == ["http://www.opengis.net/def/crs/OGC/1.3/CRS84"]
        assert links_of(each)["items"]["type"] == "application/geo+json"


def test_extent_covers_the_data_and_the_boundaries_of_the_day_of_planting(ask, ground):
    extents = [each["extent"] for each in ask("collections").json()["collections"]]
    assert extents[0]["spatial"]["bbox"] == [pytest.approx([-93.0, 38.0, -91.935, 39.005])]
    assert "temporal" not in extents[0]
    # the first plot was planted where it lay then
    assert extents[1]["spatial"]["bbox"] == [pytest.approx([-92.0, 38.0, -91.955, 38.005])]
    assert extents[1]["temporal"]["interval"] == [["2024-09-01T00:00:00Z", "2024-09-03T23:59:59Z"]]


def test_collection_without_anything_covers_nothing(ask, farm):
    assert [each["extent"] for each in ask("collections").json()["collections"]] == [{}] * len(KINDS)
    assert ask(f"{PLOTS}/items").json()["features"] == []


@pytest.mark.parametrize("page", [*PAGES, f"{PLOTS}/items/1"])
def test_parameter_that_is_not_known_is_refused(ask, ground, page):
    for query in ({"colour": "red"}, {"f": "xml"}):
        answer = ask(page, **query)
        assert answer.status_code == 400
        assert set(answer.json()) == {"code", "description"}


def test_parameter_given_twice_is_refused_when_the_values_differ(ask, ground):
    assert ask(f"{PLOTS}/items?limit=1&limit=1").status_code == 200
    answer = ask(f"{PLOTS}/items?limit=1&limit=2")
    assert answer.status_code == 400
    assert "limit" in answer.json()["description"]


@pytest.mark.parametrize(
    "page",
    [
        *(
            "nowhere",
            "collections/",
            "collections/tally-hollow-orders",
            "collections/tally-hollow",
            f"{PLOTS}/x",
        ),
        *("collections/plots", f"{PLOTS}/items/0", f"{PLOTS}/items/x", f"{PLOTS}/items/{10**30}"),
    ],
)
def test_what_is_not_there_is_404_in_the_words_of_the_standard(ask, ground, page):
    answer = ask(page)
    assert answer.status_code == 404
    assert set(answer.json()) == {"code", "description"}


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "PROPFIND"])
def test_every_method_that_would_change_something_is_405(ask, ground, method):
    client = Client(enforce_csrf_checks=True)
    for page in PAGES:
        answer = client.generic(method, f"/ogc/{page}", headers={"Authorization": f"Bearer {ask.secret}"})
        assert answer.status_code == 405
        assert answer["Allow"] == "GET, HEAD, OPTIONS"
        assert answer.json()["code"] == "method_not_allowed"


def test_head_says_what_get_would(ask, client, ground):
    answer = client.head(f"/ogc/{PLOTS}/items", headers={"Authorization": f"Bearer {ask.secret}"})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/geo+json"


def test_address_without_the_slash_leads_on_with_its_token(client, ask):
    answer = client.get("/ogc", {"token": ask.secret}, follow=True)
    assert answer.json()["title"] == "Swardbook"


@pytest.mark.parametrize("page", PAGES)
def test_browser_that_is_signed_in_gets_a_page_and_everything_else_json(viewer, ask, ground, page):
    browser = signed_in(viewer)
    assert "<h1>" in browser.get(f"/ogc/{page}", headers=BROWSER).text
    assert "<h1>" in ask(page, f="html").text
    for accept in ("*/*", "application/json", "application/geo+json", "image/png", ""):
        assert ask(page, headers={"Accept": accept}).json()
    assert browser.get(f"/ogc/{page}", {"f": "json"}, headers=BROWSER).json()


def test_pages_show_what_the_documents_say(viewer, ground):
    browser = signed_in(viewer)
    first = words(browser.get(f"/ogc/{PLOTS}/items", {"limit": 3}, headers=BROWSER))
    assert "1 to 3 of 8" in first
    assert "Plot 2" in first
    assert "Next page" in first
    one = words(browser.get(f"/ogc/{PLANTINGS}/items", headers=BROWSER))
    assert "Grain" in one
    assert "2024-09-03" in one
    item = words(browser.get(f"/ogc/{PLOTS}/items/{ground[-1].pk}", headers=BROWSER))
    assert "Unmapped" in item
    assert "There is none." in item
    gone = browser.get(f"/ogc/{PLOTS}/items/0", headers=BROWSER)
    assert gone.status_code == 404
    assert "nothing here that you can see" in words(gone)
