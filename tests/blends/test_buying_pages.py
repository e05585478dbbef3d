"""Ways to buy by page and API, read as a person and a script do."""

import pytest
from django.urls import reverse

from blends.services.buying import ask_for_plan
from plots.services.jobs import run_job
from tests.blends.pages import signed_in, words


@pytest.fixture
def plan(small_property, owner):
    small_property.refresh_from_db()
    plan = ask_for_plan(order=small_property, user=owner, seconds=10)
    run_job(plan.job_id)
    return plan


def at(name, plan, *more):
    season = plan.order.season
    return reverse(name, args=[season.property.slug, season.slug, *more])


def test_the_page_tells_the_proof_and_what_is_not_known_and_takes_the_way(plan, owner):
    client = signed_in(owner)
    text = words(client.get(at("way", plan, plan.pk)))
    assert "Proven cheapest by what is known: no way to buy costs less while the freight" in text
    assert "Nobody has said what freight Co-op charges" in text
    assert "Without a tag: Crimson clover." in text
    client.post(at("way", plan, plan.pk), {"act": "take"})
    assert "The order is bought as in the way of" in words(client.get(at("ways", plan)))
    client.post(at("ways", plan), {"act": "own"})
    assert "The order is bought as in" not in words(client.get(at("ways", plan)))


def test_what_was_typed_stays_with_what_is_accepted(plan, owner):
    answer = signed_in(owner).post(at("ways", plan), {"most_suppliers": "two", "seconds": "20"})
    assert "“two” is not accepted; a whole number from 1 to 99 is." in words(answer)
    assert 'value="two"' in answer.content.decode()


def test_the_api_answers_the_same_with_money_as_text(plan, owner):
    answer = signed_in(owner).get(at("api-way", plan, plan.pk)).json()
    assert (answer["result"], answer["total_usd"], answer["gap_usd"]) == ("proven", "288.00", "0.00")
    assert [row["freight_usd"] for row in answer["suppliers"]] == [None]
    assert {line["item"]: line["packs"] for line in answer["suppliers"][0]["lines"]} == {
        "Oats": 4,
        "Crimson clover": 1,
        "Bag": 4,
    }


def test_a_substitution_is_refused_in_words_and_named_in_the_order(plan, owner, species):
    client, oats, rye = signed_in(owner), species("oats").pk, species("cereal_rye").pk
    body = {"species_id": oats, "instead_id": species("crimson_clover").pk, "reason": "cheaper"}
    address = at("api-substitutions", plan)
    refused = client.post(address, body, content_type="application/json")
    assert refused.status_code == 400
    assert "same functional group" in refused.json()["error"]["message"]
    stored = client.post(address, body | {"instead_id": rye}, content_type="application/json")
    assert stored.status_code == 201
    assert stored.json()["factor"] > 0
    assert "Sow Oats again" in words(client.get(at("order-substitutes", plan)))
    assert client.delete(at("api-substitution", plan, oats)).status_code == 204


def test_ways_to_buy_are_one_step_from_every_page_about_ordering(plan, owner, farm):
    latest = reverse("ways-latest", args=[farm.slug])
    assert signed_in(owner).get(latest).url == at("ways", plan)
    for name in ("offers", "suppliers", "price-list-new"):
        page = signed_in(owner).get(reverse(name, args=[farm.slug])).content.decode()
        assert f'href="{latest}"' in page
    for address in (reverse("purchases", args=[farm.slug]), at("way", plan, plan.pk)):
        assert f'href="{at("ways", plan)}"' in signed_in(owner).get(address).content.decode()


def test_ways_to_buy_without_a_season_say_what_to_do(owner, farm):
    answer = signed_in(owner).get(reverse("ways-latest", args=[farm.slug]), follow=True)
    assert "Open a season" in words(answer)
