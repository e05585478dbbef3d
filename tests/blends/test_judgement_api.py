"""Judging by the API: what comes out, and what is refused."""

import json

import pytest
from django.test import Client

from blends.services.seasons import assign, open_season
from plots.models import Plot
from tests.blends.stands import drilled, two_halves

ROOT = "/api/v1/properties/tally-hollow/blends"


@pytest.fixture
def call(owner):
    def call(path, body=None, user=owner, status=200):
        client = Client()
        client.force_login(user)
        address = f"{ROOT}/{path}"
        answer = (
            client.get(address)
            if body is None
            else client.post(address, json.dumps(body), content_type="application/json")
        )
        assert answer.status_code == status, answer.content
        return answer.json()

    return call


@pytest.fixture
def halves(farm, owner):
    return two_halves(farm, owner)


def test_stored_blend_is_judged_with_the_working_of_its_figures(call, halves):
    body = call(f"{halves.pk}/judgement/?objective=hold_weeds&seeding_on=2027-05-01")
    mature = body["residues"]["mature"]
    assert mature["cn"]["likely"] == pytest.approx(2040 / 90)
    assert mature["gap"]["by"] == pytest.approx(2040 / 90 - 30)
    [working] = [each for each in mature["workings"] if each["key"] == "cn-mature"]
    assert working["rows"][1]["name"] == "Bench pea"
    assert [cell["value"] for cell in working["rows"][1]["cells"]] == ["2000", "42", "3", "14"]
    assert body["calendar"]["months"][0] == "2027-05-01"
    assert {one["key"] for one in body["cautions"]} >= {"treated_seed", "local_rules"}


def test_draft_is_judged_like_the_stored_blend(call, halves):
    components = [
        {"species_id": row.species_id, "drilled_pls_lb_per_acre": str(row.drilled_pls_lb_per_acre)}
        for row in halves.components.all()
    ]
    draft = call("judgement/", {"kind": "mixed", "components": components, "objective": "feed_next"})
    stored = call(f"{halves.pk}/judgement/?objective=feed_next")
    assert draft["residues"] == stored["residues"]
    assert draft["cover"] == stored["cover"]


def test_stored_blend_is_judged_for_what_its_plots_want(call, farm, owner, halves, make_plot):
    plot = make_plot()
    Plot.objects.filter(pk=plot.pk).update(objective="hold_weeds")
    season = open_season(property=farm, year=2027, kind="warm")
    given = {"plot_id": plot.pk, "blend_id": halves.pk, "method": "drilled"}
    assign(season=season, user=owner, assignments=[given])
    assert call(f"{halves.pk}/judgement/")["objective"] == "hold_weeds"
    assert call(f"{halves.pk}/judgement/?objective=balance")["objective"] == "balance"


def test_unknown_is_null(call):
    body = call("judgement/", {"kind": "mixed", "components": []})
    assert body["residues"]["mature"]["cn"] == {"low": None, "likely": None, "high": None}
    assert body["calendar"]["seeding_on"] is None


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("objective=fatten", "objective"),
        ("method=thrown", "method"),
        ("seeding_on=May", "seeding_on"),
        ("seeding_on=2027-05-01&end_on=2027-04-01", "end_on"),
        ("seeding_on=2027-05-01&end_on=9999-12-31", "end_on"),
        ("seeding_on=9999-12-31", "seeding_on"),
    ],
)
def test_option_that_cannot_be_is_refused_by_name(call, halves, query, field):
    body = call(f"{halves.pk}/judgement/?{query}", status=400)
    assert list(body["error"]["fields"]) == [field]


def test_compared_blends_come_in_the_order_asked_for(call, farm, owner, halves):
    pea = halves.components.last().species
    peas = drilled(farm, owner, "All peas", {pea: 50})
    body = call(f"compare/?blend={halves.pk}&blend={peas.pk}")
    assert [one["blend"] for one in body] == ["Halves", "All peas"]
    assert body[1]["judgement"]["residues"]["mature"]["cn"]["likely"] == pytest.approx(14)


def test_compare_takes_two_to_four(call, halves):
    assert "blend" in call(f"compare/?blend={halves.pk}", status=400)["error"]["fields"]
    five = "&".join(f"blend={number}" for number in range(1, 6))
    assert "blend" in call(f"compare/?{five}", status=400)["error"]["fields"]


def test_blend_of_another_property_is_never_compared(call, halves, elsewhere, stranger):
    theirs = two_halves(elsewhere, stranger)
    call(f"compare/?blend={halves.pk}&blend={theirs.pk}", status=404)


def test_costs_are_left_out_for_whose_role_has_none(call, halves, recorder):
    for user, keys in ((None, True), (recorder, False)):
        body = call(f"{halves.pk}/judgement/", **({"user": user} if user else {}))
        assert ("cost" in {each["key"] for each in body["workings"]}) == keys


def test_ids_that_no_database_holds_are_refused(call, halves):
    row = {"species_id": 10**30, "drilled_pls_lb_per_acre": "50"}
    refused = call("judgement/", {"kind": "mixed", "components": [row]}, status=400)["error"]
    assert list(refused["fields"]) == ["components.0.species_id"]
    assert call(f"compare/?blend={halves.pk}&blend={10**30}", status=400)["error"]["code"] == "refused"


def test_rate_that_no_drill_sows_is_unknown_and_said(call, halves):
    row = {"species_id": halves.components.first().species_id, "drilled_pls_lb_per_acre": "1e308"}
    figures = call("judgement/", {"kind": "mixed", "components": [row]})["figures"]
    assert figures["drilled"]["pls_lb_per_acre"] is None
    assert figures["notes"] == [
        "Bench grass, drilled is “1e308”; accepted is a number above 0, at most 99,999."
    ]
