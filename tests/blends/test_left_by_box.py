"""What a phone says of the boxes of a drill when a plot is planted, and who may send it."""

import uuid
from decimal import Decimal

import pytest
from django.test import Client

from blends.models import PlantingRecord
from tests.blends.planted import lot_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def lots(farm, species, owner):
    """Oats for the seed box, two lots of clover for the small one; 400 lb of each."""
    kinds = [("oats", "A7"), ("crimson_clover", "C1"), ("crimson_clover", "C2")]
    return [lot_of(farm, species(key), owner, number=number) for key, number in kinds]


@pytest.fixture
def sent(farm, season, small_property, lots):
    """sent(user, **changed) -> the answer to a record of North, 2 acres."""
    planting = season.plantings.get(plot__name="North")
    lines = zip(lots, ("main", "small", "small"), ("130", "9", "3"), strict=True)
    body = {
        "season": season.slug,
        "plot_id": planting.plot_id,
        "done_on": "2026-09-10",
        "acres": "2",
        "boxes_left_lb": {"main": "10", "small": "2"},
        "seeds": [{"lot_id": lot.pk, "box": box, "loaded_lb": lb} for lot, box, lb in lines],
    }

    def sent(user, id=None, **changed):
        client = Client()
        client.force_login(user)
        address = f"/api/v1/properties/{farm.slug}/planting-records/{id or uuid.uuid4()}/"
        return client.put(address, body | changed, content_type="application/json")

    return sent


def test_what_is_left_in_a_box_is_shared_by_the_seed_of_that_box_alone(sent, lots, recorder):
    """By hand: 10 of 130 lb left; 2 lb of 9 + 3 are 1.5 and 0.5."""
    id = uuid.uuid4()
    answer = sent(recorder, id)
    assert answer.status_code == 201
    used = [Decimal(each["used_lb"]) for each in answer.json()["seeds"]]
    assert used == [120, Decimal("7.5"), Decimal("2.5")]
    for lot in lots:
        lot.refresh_from_db()
    assert [lot.on_hand_lb for lot in lots] == [280, Decimal("392.5"), Decimal("397.5")]
    assert sent(recorder, id).status_code == 200


@pytest.mark.parametrize(
    ("left", "field", "sentence"),
    [
        ({"small": "13"}, "boxes_left_lb.small", "13 lb were left and 12 lb put in"),
        ({"main": "-1"}, "boxes_left_lb.main", "greater than or equal to 0"),
    ],
)
def test_what_a_box_cannot_have_left_is_refused_at_that_box(sent, recorder, left, field, sentence):
    answer = sent(recorder, boxes_left_lb={"main": "0", "small": "0"} | left)
    assert answer.status_code == 400
    assert field in answer.json()["error"]["fields"]
    assert sentence in str(answer.json()["error"]["fields"])
    assert not PlantingRecord.objects.exists()


def test_another_person_on_the_phone_sends_nothing_as_their_own(sent, recorder, owner):
    answer = sent(owner, recorded_by=recorder.pk)
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "other_person")
    assert "Somebody else recorded this planting than owner" in answer.json()["error"]["message"]
    assert not PlantingRecord.objects.exists()
    assert sent(recorder, recorded_by=recorder.pk).status_code == 201
