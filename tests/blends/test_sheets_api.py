"""Planting sheets by the API: complete for a phone without signal, and without a price."""

import json
import re
from decimal import Decimal

import pytest
from django.urls import reverse

from blends.models import Machine, PlantingLot
from tests.blends.pages import signed_in
from tests.blends.test_sheets import planting


@pytest.fixture
def ask(farm, season, small_property):
    def ask(user, route, method="get", body=None, query="", **where):
        address = reverse(route, kwargs={"slug": farm.slug, "season": season.slug} | where) + query
        client = signed_in(user)
        if method == "get":
            return client.get(address)
        return getattr(client, method)(address, json.dumps(body), content_type="application/json")

    return ask


def test_sheets_are_complete(ask, recorder, season, make_lot, farm):
    Machine.objects.create(
        property=farm, name="Old Green", openers=8, spacing_in=Decimal("7.5"), course_ft=150
    )
    lot = make_lot("oats", "96", "75", treatment="Thiram")
    PlantingLot.objects.create(planting=planting(season, "North"), lot=lot)
    answer = ask(recorder, "api-sheets").json()
    assert answer["count"] == 3
    north = next(row for row in answer["results"] if row["plot"] == "North")
    [main] = north["boxes"]
    seeds = {seed["name"]: seed for seed in main["seeds"]}
    assert (seeds["Oats"]["lb"], seeds["Oats"]["lot"], seeds["Oats"]["treatment"]) == (
        166.67,
        "oats-1",
        "Thiram",
    )
    assert main["fills_unknown"] == "How much the box of Old Green holds is not known."
    assert main["catch_row_g"] == pytest.approx((83.3333 + 5 / 0.833) * 0.97623, rel=1e-4)
    assert north["machine"]["name"] == "Old Green"
    assert {each["key"] for each in north["cautions"]} >= {"treated_seed", "machinery", "sown_seed"}


def test_no_price_is_in_it(ask, recorder, owner):
    """The whole cast gets the same, since the intern may not see prices."""
    for route in ("api-sheets", "api-runs", "api-sheets-stock"):
        body = ask(recorder, route).content.decode()
        assert not re.search(r"usd|price|cost|freight", body)
        assert body == ask(owner, route).content.decode()


def test_plots_come_in_the_order_of_the_run_and_by_pages(ask, viewer, season):
    ids = [planting(season, name).plot_id for name in ("South", "North")]
    query = "?" + "&".join(f"plot={pk}" for pk in ids)
    assert [row["plot"] for row in ask(viewer, "api-sheets", query=query).json()["results"]] == [
        "South",
        "North",
    ]
    page = ask(viewer, "api-sheets", query=f"{query}&limit=1&offset=1").json()
    assert (page["count"], [row["plot"] for row in page["results"]]) == (2, ["North"])


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("?machine=999", "Machine “999” is not there; a drill or spreader of this property is accepted."),
        ("?level=5", "The boxes are filled to “5” %; accepted is 10 to 150 % of level full."),
        ("?level=full", "The boxes are filled to “full” %; accepted is 10 to 150 % of level full."),
    ],
)
def test_what_cannot_be_is_answered_in_words(ask, viewer, query, said):
    answer = ask(viewer, "api-sheets", query=query)
    assert answer.status_code == 400
    assert answer.json()["error"]["message"] == said


def test_lots_are_chosen_filled_and_cleared(ask, owner, season, make_lot):
    lot = make_lot("oats", "98", "90")
    plot_id = planting(season, "North").plot_id
    answer = ask(
        owner, "api-sheet-lots", "put", {"choices": [{"lot_id": lot.pk, "lb": "20.5"}]}, plot_id=plot_id
    )
    assert answer.json() == {"choices": [{"lot_id": lot.pk, "lot": "Oats, lot oats-1", "lb": "20.500"}]}
    filled = ask(owner, "api-sheets-fill", "post", {"plots": [planting(season, "South").plot_id]}).json()
    assert (filled["plots"], filled["choices"]) == (1, 1)
    [row] = ask(owner, "api-sheets-stock").json()["results"]
    assert (row["on_hand_lb"], row["here_lb"]) == ("500.000", "63.02")  # 20.5 + 37.5 ÷ 0.882
    assert ask(owner, "api-sheets-clear", "post", {}).json() == {"changed": 2}


def test_lot_that_the_plot_does_not_take_is_refused_at_its_place(ask, owner, season, make_lot):
    rye = make_lot("cereal_rye", "98", "90")
    plot_id = planting(season, "North").plot_id
    answer = ask(owner, "api-sheet-lots", "put", {"choices": [{"lot_id": rye.pk}]}, plot_id=plot_id)
    assert answer.status_code == 400
    assert "nothing of Grain takes it" in answer.json()["error"]["fields"]["0.lot_id"][0]
