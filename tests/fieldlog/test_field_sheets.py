"""Planting day on a phone: its page as the server gives it, and what it is told of a season."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from blends.services.seasons import assign
from plots.access import LARGEST_ID
from tests.planting_day import PlantingDay


@pytest.fixture
def day(farm, owner, make_plot):
    return PlantingDay(farm, owner, make_plot)


@pytest.fixture
def ask(client, day):
    """ask(user, query="") -> the answer with the facts of the season"""

    def ask(user, query=""):
        client.force_login(user)
        return client.get(reverse("field-planting", args=[day.farm.slug, day.season.slug]) + query)

    return ask


def test_the_page_is_the_same_text_as_the_one_a_phone_keeps(client, day, recorder):
    shell = client.get(reverse("sheets-shell")).text
    client.force_login(recorder)
    answer = client.get(reverse("field-sheets", args=[day.farm.slug, day.season.slug]))
    assert answer.text == shell
    assert "csrftoken" in answer.cookies
    assert day.farm.name not in shell


def test_a_phone_is_told_pounds_by_lot_and_box_with_the_fills(ask, recorder, day):
    """By hand: 98 % × 90 % = 0.882; 2 ac × 60 lb ÷ 0.882 = 136.05 lb of rye, 2 × 4 ÷ 0.882 = 9.07 lb of clover."""
    answer = ask(recorder)
    assert answer["Cache-Control"] == "private, no-store"
    said = answer.json()
    assert said["user"] == {"id": recorder.pk, "name": "recorder"}
    assert said["may_record"] is True
    assert said["season"] == {"slug": "2026-cool", "name": "Cool season 2026"}
    assert [each["plot"]["name"] for each in said["sheets"]] == ["Alder Creek", "Heron Bench"]
    sheet = said["sheets"][1]
    assert (sheet["acres"], sheet["lb"]) == ("2.00 ac", "145.12 lb")
    boxes = {box["box"]: box for box in sheet["boxes"]}
    assert {name: box["lb"] for name, box in boxes.items()} == {"main": "136.05 lb", "small": "9.07 lb"}
    assert [line["planned_lb"] for line in sheet["seeds"]] == ["136.05", "9.07"]
    assert [line["box"] for line in sheet["seeds"]] == ["main", "small"]
    assert [line["lot_id"] for line in sheet["seeds"]] == [day.lots[key].pk for key in day.lots]
    fills = boxes["main"]["fills"]
    assert fills[-1]["is_part"] is True
    assert fills[-1]["parts"][0]["name"] == "Cereal rye, lot CER-7"
    assert said["machines"] == [
        {"id": day.machine.pk, "name": "Ten-foot drill", "kind": "drill", "boxes": ["main", "small"]}
    ]


def test_a_caution_is_told_once_for_all_sheets(ask, recorder):
    said = ask(recorder).json()
    numbers = [number for sheet in said["sheets"] for number in sheet["cautions"]]
    assert set(numbers) == set(range(len(said["cautions"])))
    assert len(numbers) == 2 * len(said["cautions"])


def test_no_price_reaches_a_phone_whoever_asks(ask, owner, recorder, viewer):
    for user in (owner, recorder, viewer):
        text = ask(user).text
        assert "431" not in text
        assert "usd" not in text.lower()
        assert "$" not in text


def test_who_only_looks_is_told_so(ask, viewer):
    assert ask(viewer).json()["may_record"] is False


@pytest.mark.parametrize("asked", ["machine=x", "machine=0", f"machine={LARGEST_ID + 1}", "level=0"])
def test_a_machine_or_level_that_is_none_is_not_found(ask, recorder, asked):
    assert ask(recorder, f"?{asked}").status_code == 404


def test_what_was_asked_for_stays_with_the_facts(ask, recorder, day):
    said = ask(recorder, f"?machine={day.machine.pk}&level=80").json()
    assert said["asked"] == f"machine={day.machine.pk}&level=80"
    assert {(sheet["machine"]["name"], sheet["level"]) for sheet in said["sheets"]} == {
        ("Ten-foot drill", "filled to 80 %")
    }
    assert ask(recorder, f"?{said['asked']}").json() == said
    assert ask(recorder, f"?{ask(recorder).json()['asked']}").status_code == 200


def test_more_sheets_than_a_phone_takes_are_counted(ask, recorder, monkeypatch):
    monkeypatch.setattr("fieldlog.queries.field_sheets.MOST_SHEETS", 1)
    said = ask(recorder).json()
    assert (len(said["sheets"]), said["left_out"]) == (1, 1)


def test_more_plots_take_no_more_questions(client, ask, day, recorder, owner, make_plot):
    address = ask(recorder).request["PATH_INFO"]
    blend = day.season.plantings.first().blend
    counts = []
    for names in (["Plot 1"], [f"Plot {number}" for number in range(2, 42)]):
        uses = [{"plot_id": make_plot(name).pk, "blend_id": blend.pk, "method": "drilled"} for name in names]
        assign(season=day.season, user=owner, assignments=uses)
        with CaptureQueriesContext(connection) as found:
            assert client.get(address).status_code == 200
        counts.append(len(found))
    assert counts[0] == counts[1] <= 40
