"""How stands were ended, and what the labels of sprayed products forbid until it has passed."""

import uuid
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from blends.calc.labels import federal_number, reentry_until
from blends.models import Termination
from blends.queries.restrictions import restrictions, restrictions_by_plot, silences
from blends.services.planting_records import strike_planting
from blends.services.seasons import assign
from blends.services.terminations import (
    correct_termination,
    finish_follow_up,
    given_of,
    record_termination,
    strike_termination,
)
from config.errors import Conflict, Refused
from tests.blends.planted import SOWN_ON, drilled

pytestmark = pytest.mark.django_db
ENDED_ON = date(2026, 10, 20)
SPRAYED_UNTIL = datetime(2026, 10, 20, 15, 30, tzinfo=UTC)
PRODUCT = {
    "name": "Burndown A",
    "registration_number": "EPA Reg. No. 123-45",
    "rate": Decimal("22"),
    "rate_unit": "fl oz",
    "reentry_h": Decimal("12"),
    "grazing_days": 14,
    "planting_days": None,
}


@pytest.fixture
def planting(small_property, season, owner):
    planting = season.plantings.get(plot__name="North")
    drilled(planting, owner)
    planting.refresh_from_db()
    return planting


def ended(planting, user, id=None, products=(), **said):
    said = {"method": "crimped", "done_on": ENDED_ON} | said
    row, _ = record_termination(
        id=id or uuid.uuid4(), planting=planting, user=user, said=said, products=list(products)
    )
    return row


def sprayed(planting, user, *products, until=SPRAYED_UNTIL, **said):
    products = products or (PRODUCT,)
    return ended(planting, user, method="herbicide", sprayed_until=until, products=products, **said)


def state(planting):
    planting.refresh_from_db()
    return planting.state


def test_a_termination_ends_the_stand_and_a_strike_lets_it_stand_again(planting, recorder):
    row = ended(planting, recorder, stage="bloom", dry_g="310", frames=4, frame_ft2="2.4")
    assert (state(planting), row.stage) == ("terminated", "bloom")
    strike_termination(termination=row, user=recorder, reason="Another plot was crimped.")
    assert state(planting) == "drilled"
    row.refresh_from_db()
    assert (row.is_struck, row.struck_because) == (True, "Another plot was crimped.")


def test_of_two_passes_the_second_still_holds(planting, recorder):
    first = ended(planting, recorder, method="mowed")
    ended(planting, recorder)
    strike_termination(termination=first, user=recorder, reason="It rained.")
    assert state(planting) == "terminated"


def test_the_same_sent_again_changes_nothing(planting, recorder):
    id = uuid.uuid4()
    first, again = (ended(planting, recorder, id=id, note="Wet ") for _ in range(2))
    assert (first.pk, Termination.objects.count()) == (again.pk, 1)
    with pytest.raises(Conflict, match="says something else"):
        ended(planting, recorder, id=id, method="mowed")


def test_of_two_who_correct_at_once_the_second_is_told(planting, recorder, owner):
    row = sprayed(planting, recorder)
    said, products = given_of(row)
    products[0]["grazing_days"] = 21
    new = correct_termination(termination=row, id=uuid.uuid4(), user=owner, said=said, products=products)
    row.refresh_from_db()
    assert (row.replaced_by, row.products.get().grazing_days) == (new, 14)
    with pytest.raises(Conflict, match="was corrected by owner on"):
        correct_termination(
            termination=row, id=uuid.uuid4(), user=recorder, said=said | {"note": "x"}, products=products
        )


def test_a_plot_that_was_not_planted_has_no_stand_to_end(small_property, season, owner):
    with pytest.raises(Conflict, match="Creek is not recorded as planted in the Cool season 2027"):
        ended(season.plantings.get(plot__name="Creek"), owner)


def test_fallow_ground_may_be_sprayed_and_stays_fallow(small_property, season, owner):
    planting = season.plantings.get(plot__name="Creek")
    assign(season=season, user=owner, assignments=[{"plot_id": planting.plot_id, "fallow": True}])
    planting.refresh_from_db()
    sprayed(planting, owner)
    assert state(planting) == "planned"
    assert restrictions(season.property, now=SPRAYED_UNTIL)


def test_the_planting_of_an_ended_stand_is_struck_after_its_termination(planting, owner):
    ended(planting, owner)
    with pytest.raises(Conflict, match="strike its termination first"):
        strike_planting(record=planting.records.get(), user=owner, reason="Twice")
    with pytest.raises(Conflict, match="was terminated on 2026-10-20"):
        drilled(planting, owner, on=ENDED_ON + timedelta(days=2))
    drilled(planting, owner, on=SOWN_ON + timedelta(days=1))  # a phone may send late
    assert state(planting) == "terminated"


@pytest.mark.parametrize(
    ("said", "field", "sentence"),
    [
        ({"method": "burned"}, "method", "accepted are crimped, mowed, herbicide, frost, grazed"),
        ({"done_on": date(2026, 9, 1)}, "done_on", "is before 2026-09-10, when North was planted"),
        ({"dry_g": "310"}, "frames", "give all three or none"),
        ({"frames": 0}, "frames", "1"),
        ({"stage": "tall"}, "stage", "tall"),
        ({"follow_up_on": date(2026, 11, 1)}, "follow_up", "say what"),
        (
            {"follow_up": "Mow", "follow_up_on": date(2026, 10, 1)},
            "follow_up_on",
            "is before the termination",
        ),
        ({"sprayed_until": SPRAYED_UNTIL}, "method", "with these the method is herbicide"),
    ],
)
def test_what_cannot_be_is_refused(planting, recorder, said, field, sentence):
    with pytest.raises(Refused, match=sentence) as refused:
        ended(planting, recorder, **said)
    assert field in refused.value.fields
    assert state(planting) == "drilled"


@pytest.mark.parametrize(
    ("product", "field", "sentence"),
    [
        ({"registration_number": " "}, "registration_number", "registration number on the label is needed"),
        ({"reentry_h": None}, "reentry_h", "re-entry interval is needed"),
        ({"rate": "0"}, "rate", "0.0001"),
        ({"grazing_days": 99999}, "grazing_days", "99999"),
    ],
)
def test_a_product_is_asked_for_what_its_label_says(planting, recorder, product, field, sentence):
    with pytest.raises(Refused, match=sentence) as refused:
        sprayed(planting, recorder, PRODUCT | product)
    assert f"products.0.{field}" in refused.value.fields


def test_a_herbicide_needs_a_product_and_the_end_of_spraying(planting, recorder):
    with pytest.raises(Refused, match="needs its product"):
        ended(planting, recorder, method="herbicide", sprayed_until=SPRAYED_UNTIL)
    with pytest.raises(Refused, match="Say when spraying ended"):
        ended(planting, recorder, method="herbicide", products=[PRODUCT])
    with pytest.raises(Refused, match="accepted is that day, or the night after it"):
        sprayed(planting, recorder, until=SPRAYED_UNTIL + timedelta(days=2))


def test_restrictions_hold_until_the_label_lets_them_go(planting, farm, recorder):
    """12 h after 20 Oct 15:30 is 21 Oct 03:30. 14 days after 20 Oct is 3 Nov, which counts whole."""
    row = sprayed(planting, recorder)

    def kinds(moment):
        return [each.kind for each in restrictions(farm, now=moment)]

    assert kinds(SPRAYED_UNTIL) == ["reentry", "grazing"]
    assert kinds(SPRAYED_UNTIL + timedelta(hours=12)) == ["reentry", "grazing"]
    assert kinds(SPRAYED_UNTIL + timedelta(hours=12, seconds=1)) == ["grazing"]
    assert kinds(datetime(2026, 11, 3, 23, 59, tzinfo=UTC)) == ["grazing"]
    assert kinds(datetime(2026, 11, 4, tzinfo=UTC)) == []
    first, second = restrictions(farm, now=SPRAYED_UNTIL)
    assert first.sentence == "Keep out until 21 Oct 2026, 03:30 UTC (label of Burndown A)."
    assert second.sentence == "No grazing through 3 Nov 2026 (label of Burndown A)."
    assert silences(row) == [
        "The label of Burndown A gives no planting-back interval, as it was typed; that is not an interval of 0 days."
    ]


def test_times_are_those_of_the_site(planting, farm, recorder):
    """15:30 UTC is 10:30 in Chicago, where daylight saving ends on 1 November 2026: 12 h later it is 22:30."""
    with timezone.override("America/Chicago"):
        sprayed(planting, recorder)
        [first, second] = restrictions(farm, now=SPRAYED_UNTIL)
        assert first.sentence == "Keep out until 20 Oct 2026, 22:30 CDT (label of Burndown A)."
        assert second.until == datetime(2026, 11, 4, 5, 59, 59, 999999, tzinfo=UTC)


def test_hours_are_counted_as_they_pass_and_on_to_the_whole_minute():
    """Daylight saving ends at 2:00 on 1 November 2026: twelve hours after 20:00 it is 7:00 on the clock in Chicago."""
    chicago = ZoneInfo("America/Chicago")
    ends = reentry_until(datetime(2026, 10, 31, 20, 0, 20, tzinfo=chicago), Decimal(12))
    assert ends.astimezone(chicago).isoformat() == "2026-11-01T07:01:00-06:00"


def test_of_several_products_the_longest_holds(planting, farm, recorder):
    other = PRODUCT | {
        "name": "Burndown B",
        "reentry_h": Decimal("48"),
        "grazing_days": 7,
        "planting_days": 30,
    }
    sprayed(planting, recorder, PRODUCT, other)
    found = {each.kind: each.product for each in restrictions(farm, now=SPRAYED_UNTIL)}
    assert found == {"reentry": "Burndown B", "grazing": "Burndown A", "planting": "Burndown B"}


def test_a_correction_changes_what_holds_and_a_strike_ends_it(planting, farm, recorder):
    row = sprayed(planting, recorder)
    said, products = given_of(row)
    products[0]["grazing_days"] = 2
    new = correct_termination(termination=row, id=uuid.uuid4(), user=recorder, said=said, products=products)
    after = SPRAYED_UNTIL + timedelta(days=3)
    assert restrictions_by_plot(farm, [planting.plot_id], now=after) == {}
    assert [each.kind for each in restrictions(farm, now=SPRAYED_UNTIL)] == ["reentry", "grazing"]
    strike_termination(termination=new, user=recorder, reason="Not sprayed.")
    assert restrictions(farm, now=SPRAYED_UNTIL) == []


def test_what_is_to_follow_is_marked_done_and_open_again(planting, recorder):
    row = ended(planting, recorder, follow_up="Crimp again", follow_up_on=date(2026, 11, 1))
    finish_follow_up(termination=row, on=date(2026, 11, 2))
    row.refresh_from_db()
    assert row.follow_up_done_on == date(2026, 11, 2)
    assert finish_follow_up(termination=row, on=None).follow_up_done_on is None
    with pytest.raises(Refused, match="is before the termination"):
        finish_follow_up(termination=row, on=date(2026, 10, 1))
    other = ended(planting, recorder, method="mowed")
    with pytest.raises(Refused, match="Nothing is noted to follow"):
        finish_follow_up(termination=other, on=date(2026, 11, 2))


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        # US EPA, Label Review Manual, chapter 14 (2012): company number, dash, product number after the phrase
        ("EPA Registration No. 123-45", "123-45"),
        ("EPA Reg. No. 6767-123", "6767-123"),
        ("123-45-678", "123-45-678"),
        ("123", None),
        ("MO-040012", None),
        ("none, minimum risk", None),
    ],
)
def test_a_federal_number_is_told_by_its_form(typed, number):
    assert federal_number(typed) == number
