"""Planting records and terminations by the API, as a phone sends them."""

import uuid
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from blends.models import PlantingRecord
from tests.blends.planted import lot_of

pytestmark = pytest.mark.django_db


def as_(user):
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def planting(small_property, season):
    return season.plantings.get(plot__name="North")


@pytest.fixture
def oats_lot(farm, species, owner):
    return lot_of(farm, species("oats"), owner)


@pytest.fixture
def body(planting, oats_lot):
    return {
        "season": planting.season.slug,
        "plot_id": planting.plot_id,
        "done_on": "2026-09-10",
        "started_at": "08:30",
        "ended_at": "10:05",
        "acres": "2.05",
        "is_by_meter": True,
        "operator": "Wren",
        "settings": {"main": "42"},
        "depths_checked_in": [0.5, 0.75],
        "soil_temp_f": "68.5",
        "weather": "Clear, light wind",
        "hopper_left_lb": "12.5",
        "seeds": [{"lot_id": oats_lot.pk, "loaded_lb": "150"}],
    }


def put(user, farm, id, body):
    address = f"/api/v1/properties/{farm.slug}/planting-records/{id}/"
    return as_(user).put(address, body, content_type="application/json")


def test_a_phone_may_send_a_record_again(farm, recorder, body, oats_lot, planting):
    id = uuid.uuid4()
    first, again = put(recorder, farm, id, body), put(recorder, farm, id, body)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    told = first.json()
    assert (told["acres"], told["season"], told["plot"]) == ("2.050", planting.season.slug, "North")
    assert told["seeds"][0]["used_lb"] == "137.500"
    assert told["seeds"][0]["target_lb_per_acre"] == pytest.approx(60 / 0.882)
    assert told["mapped_acres"] == pytest.approx(2)
    other = put(recorder, farm, id, body | {"acres": "3"})
    assert (other.status_code, other.json()["error"]["code"]) == (409, "conflict")


def test_costs_are_told_to_who_may_see_them(farm, recorder, viewer, body):
    id = uuid.uuid4()
    assert put(recorder, farm, id, body).json()["cost_usd"] is None
    address = f"/api/v1/properties/{farm.slug}/planting-records/"
    # 137.5 of 400 lb that cost 200.00
    [row] = as_(viewer).get(address).json()["results"]
    assert (row["cost_usd"], row["seeds"][0]["cost_usd"]) == ("68.75", "68.75")
    [row] = as_(recorder).get(address).json()["results"]
    assert (row["cost_usd"], row["seeds"][0]["cost_usd"]) == (None, None)


def test_a_part_is_corrected_and_the_rest_stays(farm, recorder, owner, body):
    id, newer = uuid.uuid4(), uuid.uuid4()
    put(recorder, farm, id, body)
    address = f"/api/v1/properties/{farm.slug}/planting-records/{id}/"
    answer = as_(owner).patch(address, {"id": str(newer), "acres": "2.2"}, content_type="application/json")
    assert (answer.status_code, answer.json()["id"], answer.json()["operator"]) == (200, str(newer), "Wren")
    old = as_(owner).get(address).json()
    assert (old["holds"], old["replaced_by_id"], old["acres"]) == (False, str(newer), "2.050")
    late = as_(recorder).patch(address, {"acres": "2.1"}, content_type="application/json")
    assert late.status_code == 409
    rows = f"/api/v1/properties/{farm.slug}/planting-records/"
    assert [row["id"] for row in as_(owner).get(rows).json()["results"]] == [str(newer)]
    assert as_(owner).get(rows, {"every": "true"}).json()["count"] == 2


def test_what_another_person_entered_is_corrected_by_who_may_edit(farm, owner, recorder, body):
    id = uuid.uuid4()
    put(owner, farm, id, body)
    address = f"/api/v1/properties/{farm.slug}/planting-records/{id}/"
    answer = as_(recorder).patch(address, {"acres": "2.1"}, content_type="application/json")
    assert answer.status_code == 403


def test_a_strike_gives_the_seed_back(farm, recorder, body, oats_lot):
    id = uuid.uuid4()
    put(recorder, farm, id, body)
    address = f"/api/v1/properties/{farm.slug}/planting-records/{id}/strike/"
    answer = as_(recorder).post(address, {"reason": "Another plot."}, content_type="application/json")
    assert (answer.status_code, answer.json()["is_struck"]) == (200, True)
    oats_lot.refresh_from_db()
    assert oats_lot.on_hand_lb == 400


def test_an_id_of_another_property_is_not_taken(farm, stranger, elsewhere, recorder, body):
    id = uuid.uuid4()
    put(recorder, farm, id, body)
    assert put(stranger, elsewhere, id, body).status_code == 404


def test_a_lot_of_another_property_is_refused_at_its_line(farm, elsewhere, recorder, owner, species, body):
    theirs = lot_of(elsewhere, species("oats"), owner)
    answer = put(recorder, farm, uuid.uuid4(), body | {"seeds": [{"lot_id": theirs.pk, "used_lb": "5"}]})
    assert answer.status_code == 400
    assert answer.json()["error"]["fields"] == {
        "seeds.0.lot_id": [f"Lot {theirs.pk} is not a lot of this property."]
    }
    assert not PlantingRecord.objects.exists()


def test_too_little_in_the_book_is_answered_until_it_was_counted(farm, recorder, body, oats_lot):
    id = uuid.uuid4()
    body["seeds"] = [{"lot_id": oats_lot.pk, "used_lb": "410"}]
    body["hopper_left_lb"] = None
    assert put(recorder, farm, id, body).status_code == 409
    assert put(recorder, farm, id, body | {"is_counted": True}).status_code == 201
    assert PlantingRecord.objects.get().seeds.get().used_lb == Decimal("410")


def ended(planting, **said):
    body = {
        "season": planting.season.slug,
        "plot_id": planting.plot_id,
        "method": "crimped",
        "done_on": "2026-10-20",
    }
    return body | said


def put_termination(user, farm, id, body):
    address = f"/api/v1/properties/{farm.slug}/terminations/{id}/"
    return as_(user).put(address, body, content_type="application/json")


LABEL = {
    "name": "Burndown A", "registration_number": "123-45", "rate": "22", "rate_unit": "fl oz", "reentry_h": "12",
    "grazing_days": 14, "planting_days": None,
}  # fmt: skip


def test_a_termination_is_sent_again_corrected_and_struck(farm, recorder, body, planting):
    put(recorder, farm, uuid.uuid4(), body)
    id = uuid.uuid4()
    said = ended(planting, stage="bloom", dry_g="310", frames=4, frame_ft2="2.4")
    first, again = (put_termination(recorder, farm, id, said) for _ in range(2))
    assert (first.status_code, again.status_code, first.json()) == (201, 200, again.json())
    # 310 g on 4 × 2.4 ft²: × 43,560 ft² ÷ 453.59237 g/lb
    assert first.json()["dry_lb_per_acre"] == pytest.approx(310 / 9.6 * 43560 / 453.59237)
    address = f"/api/v1/properties/{farm.slug}/terminations/{id}/"
    new = as_(recorder).patch(address, {"method": "mowed"}, content_type="application/json").json()
    assert (new["method"], new["stage"], new["holds"]) == ("mowed", "bloom", True)
    assert as_(recorder).get(address).json()["replaced_by_id"] == new["id"]
    struck = as_(recorder).post(
        f"/api/v1/properties/{farm.slug}/terminations/{new['id']}/strike/",
        {"reason": "Another plot."},
        content_type="application/json",
    )
    assert struck.json()["is_struck"]
    planting.refresh_from_db()
    assert planting.state == "drilled"


def test_what_a_label_forbids_is_told_while_it_holds(farm, recorder, body, planting):
    put(recorder, farm, uuid.uuid4(), body)
    now = timezone.localtime()
    said = ended(
        planting,
        method="herbicide",
        done_on=f"{now:%Y-%m-%d}",
        sprayed_until=now.isoformat(),
        products=[LABEL],
    )
    without = LABEL.copy()
    del without["grazing_days"]
    refused = put_termination(recorder, farm, uuid.uuid4(), said | {"products": [without]})
    assert (refused.status_code, list(refused.json()["error"]["fields"])) == (
        400,
        ["products.0.grazing_days"],
    )
    assert put_termination(recorder, farm, uuid.uuid4(), said).status_code == 201
    found = as_(recorder).get(f"/api/v1/properties/{farm.slug}/restrictions/").json()["results"]
    assert [(row["plot"], row["kind"], row["product"]) for row in found] == [
        ("North", "reentry", "Burndown A"),
        ("North", "grazing", "Burndown A"),
    ]


def test_target_against_delivered_is_told_with_its_costs(farm, recorder, viewer, body, planting, season):
    put(recorder, farm, uuid.uuid4(), body)
    address = f"/api/v1/properties/{farm.slug}/seasons/{season.slug}/sown/"
    [row] = as_(viewer).get(address).json()["results"]
    # 137.5 lb on 2.05 acres; 60 ÷ 0.882 lb/ac were asked for on 2 mapped acres
    oats = row["seeds"][0]["found"]
    assert oats["by_acres_lb"] == pytest.approx(0.05 * 60 / 0.882)
    assert oats["by_rate_lb"] == pytest.approx(137.5 - 2.05 * 60 / 0.882)
    assert row["not_recorded"] == ["Crimson clover"]
    assert row["total"]["target_lb_per_acre"] is None
    assert (row["cost_usd"], row["cost_usd_per_acre"]) == ("68.75", "33.54")
    [row] = as_(recorder).get(address).json()["results"]
    assert (row["cost_usd"], row["cost_usd_per_acre"], row["seeds"][0]["cost_usd"]) == (None, None, None)
