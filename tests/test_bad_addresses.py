"""Addresses that no link of the site has: answered with a sentence, on both databases, and never a failure."""

import pytest
from django.test import Client

MANY_DIGITS = "9" * 5000


@pytest.fixture
def client(owner):
    client = Client()
    client.force_login(owner)
    return client


@pytest.mark.parametrize(
    "address", ["lots/?search=%00", "planting-records/?season=2026-%00", "offers/?a%00b=1"]
)
def test_an_address_of_the_api_without_text_is_refused_in_the_one_error_body(client, farm, address):
    answer = client.get(f"/api/v1/properties/{farm.slug}/{address}")
    assert answer.status_code == 400
    assert answer.json()["error"]["code"] == "refused"
    assert "(NUL)" in answer.json()["error"]["message"]


@pytest.mark.parametrize("address", ["stock/?q=%00", "offers/?%00=1", "seasons/?a=1&q=%00%00"])
def test_a_page_that_is_asked_for_what_is_no_text_finds_nothing_by_it(client, farm, address):
    assert client.get(f"/p/{farm.slug}/{address}").status_code == 200


@pytest.mark.parametrize(
    "address",
    [
        "/api/v1/properties/tally-hollow/seasons/{}-warm/",
        "/api/v1/properties/tally-hollow/planting-records/?season={}-warm",
        "/p/tally-hollow/seasons/{}-warm/planting/",
    ],
)
def test_a_season_of_a_year_that_no_number_holds_is_not_there(client, farm, address):
    assert client.get(address.format(MANY_DIGITS)).status_code == 404


def test_a_refusal_does_not_repeat_a_megabyte(client, farm):
    answer = client.post(
        f"/api/v1/properties/{farm.slug}/machines/",
        {"name": "Drill", "kind": "x" * 1_000_000},
        content_type="application/json",
    )
    assert answer.status_code == 400
    assert len(answer.content) < 2_000
    [sentence] = answer.json()["error"]["fields"]["kind"]
    assert sentence.endswith("is not a valid choice.")
