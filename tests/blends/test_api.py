"""The API's wiring: what comes out, what goes in, how refusals look. Who may do what is in test_isolation."""

import json

import pytest
from django.test import Client

from blends.models import Blend, Offer, Source
from blends.services.offers import add_supplier
from blends.services.species import add_species

ROOT = "/api/v1/properties/tally-hollow"


@pytest.fixture
def call(owner):
    """call(method, path, body=None, user=owner, status=200) -> the body of the answer."""

    def call(method, path, body=None, user=owner, status=200):
        client = Client()
        client.force_login(user)
        answer = client.generic(
            method,
            path if path.startswith("/") else f"{ROOT}/{path}",
            "" if body is None else json.dumps(body),
            "application/json",
        )
        assert answer.status_code == status, answer.content
        return answer.json() if answer.content else None

    return call


def test_species_come_with_facts_and_the_keys_of_their_sources(call, species):
    body = call("GET", f"species/{species('cereal_rye').pk}/")
    facts = {fact["field"]: fact for fact in body["facts"]}
    assert (facts["seeds_per_lb"]["value"], facts["seeds_per_lb"]["unit"]) == ("18160", "seeds/lb")
    assert (facts["seeds_per_lb"]["basis"], facts["seeds_per_lb"]["sources"]) == ("published", ["plants_db"])
    assert call("GET", "/api/v1/sources/?limit=100")["count"] == Source.objects.count() > 70


def test_override_by_the_api_names_its_author_and_can_be_ended(call, species, manager):
    path = f"species/{species('cereal_rye').pk}/"
    body = call(
        "POST", f"{path}overrides/", {"field": "seeds_per_lb", "value": "17000"}, user=manager, status=201
    )
    [fact] = [fact for fact in body["facts"] if fact["field"] == "seeds_per_lb"]
    assert (fact["value"], fact["original"], fact["override"]["author"]) == (
        "17000",
        "18160",
        "manager",
    )
    call("DELETE", f"{path}overrides/{fact['override']['id']}/", status=204)
    [history] = call("GET", f"{path}overrides/")["results"]
    assert history["ended_at"] is not None


def test_blend_is_made_read_and_changed(call, species):
    component = {"species_id": species("oats").pk, "drilled_pls_lb_per_acre": "60"}
    blend = call("POST", "blends/", {"name": "Grain", "kind": "mixed", "components": [component]}, status=201)
    assert blend["components"][0]["species"] == "Oats"
    changed = call(
        "PUT",
        f"blends/{blend['id']}/",
        {
            "name": "Grain",
            "kind": "mixed",
            "components": [component | {"drilled_pls_lb_per_acre": "55.5"}],
        },
    )
    assert changed["components"][0]["drilled_pls_lb_per_acre"] == "55.5000"
    assert call("GET", f"blends/{blend['id']}/figures/")["drilled"]["pls_lb_per_acre"] == 55.5


def test_refusal_names_the_field_and_the_value(call, species):
    components = [{"species_id": species("oats").pk, "drilled_pls_lb_per_acre": "-5"}]
    body = call("POST", "blends/", {"name": "Grain", "kind": "mixed", "components": components}, status=400)
    assert body["error"]["code"] == "refused"
    assert "“-5”" in body["error"]["fields"]["components.0.drilled_pls_lb_per_acre"][0]


def test_figures_of_a_draft_are_worked_out_and_nothing_is_stored(call, species):
    components = [{"species_id": species("oats").pk, "drilled_pls_lb_per_acre": "6o"}]
    body = call("POST", "blends/figures/", {"kind": "mixed", "components": components})
    assert body["rows"][0]["drilled"]["pls_lb_per_acre"] is None
    assert "Oats, drilled is “6o”; accepted is a number above 0, at most 99,999." in body["notes"]
    assert not Blend.objects.exists()


def test_recorder_sees_figures_of_a_blend_without_costs(call, recorder, make_mixed, make_offer, species):
    blend = make_mixed("Grain", {"oats": ("60", None)})
    make_offer(species("oats"), "50", "22.00", tag=("98", "90"))
    path = f"blends/{blend.pk}/figures/"
    assert call("GET", path)["drilled"]["cost_usd_per_acre"] == "29.93"
    without = call("GET", path, user=recorder)
    assert without["drilled"]["cost_usd_per_acre"] is None
    assert "offer" not in str(without)


def test_season_is_opened_assigned_and_summed(call, make_plot, make_mixed):
    plot, blend = make_plot("North", acres=2), make_mixed("Grain", {"oats": ("60", None)})
    call("POST", "seasons/", {"year": 2027, "kind": "cool"})
    given = [{"plot_id": plot.pk, "blend_id": blend.pk, "method": "drilled"}]
    assert call("PUT", "seasons/2027-cool/plantings/", given) == {"changed": 1}
    [row] = call("GET", "seasons/2027-cool/plantings/")["results"]
    assert (row["plot"], row["blend_id"], row["state"]) == ("North", blend.pk, "planned")
    sums = call("GET", "seasons/2027-cool/")["sums"]
    assert (sums["with_blend"], sums["by_blend"][0]["seed_lb"]) == (1, pytest.approx(120))


def test_undecided_plot_has_nothing_in_its_row(call, season, make_plot):
    make_plot("North", acres=2)
    [row] = call("GET", "seasons/2027-cool/plantings/?undecided=true")["results"]
    assert (row["blend_id"], row["fallow"], row["method"], row["state"]) == (None, False, None, None)


def test_planting_is_recorded_with_its_acres(call, small_property, recorder):
    planting = small_property.season.plantings.get(plot__name="North")
    body = {"planted_on": "2024-09-01", "planted_acres": "1.5"}
    row = call("PATCH", f"seasons/2027-cool/plantings/{planting.plot_id}/", body, user=recorder)
    assert (row["state"], row["acres"], row["planted_acres"]) == ("drilled", 1.5, "1.500")


def test_order_by_the_api_is_the_order_as_by_hand(call, small_property, species):
    body = call("GET", "seasons/2027-cool/order/")
    assert body["totals"]["cost_used_usd"] == "223.91"
    parts = call("GET", f"seasons/2027-cool/order/species/{species('oats').pk}/")["results"]
    assert [(part["plot"], round(part["planted_lb"], 3)) for part in parts] == [
        ("North", 136.054),
        ("South", 42.517),
    ]


def test_one_term_is_changed_and_the_others_stay(call, small_property):
    terms = call("PATCH", "seasons/2027-cool/order/", {"overage_pct": "0"})
    assert terms == {
        "overage_pct": "0.00",
        "assumed_purity_pct": "98.00",
        "assumed_germination_pct": "85.00",
    }
    assert call("GET", "seasons/2027-cool/order/")["is_stale"] is True


def test_choice_keeps_what_the_body_leaves_out(call, small_property, species):
    oats = species("oats")
    offer_id = small_property.orderchoices.get(species=oats).offer_id
    body = call("PUT", "seasons/2027-cool/order/choices/", {"species_id": oats.pk, "on_hand_lb": "12"})
    assert (body["offer_id"], body["on_hand_lb"]) == (offer_id, "12.00")
    body = call("PUT", "seasons/2027-cool/order/choices/", {"species_id": oats.pk, "offer_id": None})
    assert (body["offer_id"], body["on_hand_lb"]) == (None, "12.00")


def test_offer_is_made_and_withdrawn(call, farm, species):
    supplier = add_supplier(property=farm, name="Co-op")
    body = {
        "supplier_id": supplier.pk,
        "species_id": species("oats").pk,
        "pack_lb": "50",
        "price_usd": "22.00",
    }
    offer = call("POST", "offers/", body, status=201)
    assert (offer["item"], offer["supplier"], offer["purity_pct"]) == ("Oats", "Co-op", None)
    call("DELETE", f"offers/{offer['id']}/", status=204)
    assert call("GET", "offers/")["results"] == []
    assert Offer.objects.get().is_withdrawn


@pytest.fixture
def theirs(elsewhere, stranger, make_plot, make_bought, make_offer, species):
    """Ids of things of another property, by the name of the field that could carry them."""
    own = add_species(property=elsewhere, user=stranger, common_name="Their millet", group="warm_grass")
    return {
        "species_id": own.pk,
        "blend_id": make_bought("Bag", "20", {"chicory": ("50", "80")}, property=elsewhere).pk,
        "offer_id": make_offer(species("oats"), "50", "22", property=elsewhere).pk,
        "supplier_id": elsewhere.suppliers.get().pk,
        "plot_id": make_plot("Theirs", property=elsewhere).pk,
    }


@pytest.mark.parametrize(
    ("method", "path", "field", "body"),
    [
        ("POST", "blends/", "species_id", lambda at: {"name": "x", "kind": "mixed", "components": [at]}),
        ("PUT", "seasons/2027-cool/plantings/", "plot_id", lambda at: [at]),
        ("PUT", "seasons/2027-cool/plantings/", "blend_id", lambda at: [{"plot_id": "farm"} | at]),
        ("PUT", "seasons/2027-cool/order/choices/", "species_id", lambda at: at),
        ("PUT", "seasons/2027-cool/order/choices/", "blend_id", lambda at: at),
        ("PUT", "seasons/2027-cool/order/choices/", "offer_id", lambda at: {"species_id": "oats"} | at),
        (
            "POST",
            "offers/",
            "supplier_id",
            lambda at: {"species_id": "oats", "pack_lb": 1, "price_usd": 1} | at,
        ),
        (
            "POST",
            "offers/",
            "species_id",
            lambda at: {"supplier_id": "farm", "pack_lb": 1, "price_usd": 1} | at,
        ),
        (
            "POST",
            "offers/",
            "blend_id",
            lambda at: {"supplier_id": "farm", "pack_lb": 1, "price_usd": 1} | at,
        ),
    ],
)
def test_another_propertys_things_in_a_body_are_refused(
    call, farm, season, theirs, species, make_plot, method, path, field, body
):
    ours = {
        "plot_id": make_plot("Ours").pk,
        "species_id": species("oats").pk,
        "supplier_id": add_supplier(property=farm, name="Co-op").pk,
    }
    sent = body({field: theirs[field]})
    for part in sent if isinstance(sent, list) else [sent]:
        for name in ours.keys() & part.keys():
            if isinstance(part[name], str):
                part[name] = ours[name]
    answer = call(method, path, sent, status=400)
    assert str(theirs[field]) in answer["error"]["message"]
    assert not Offer.objects.filter(property=farm).exists()
    assert not season.plantings.exists()
    assert not season.order.orderchoices.exists()
    assert not Blend.objects.filter(property=farm).exists()
