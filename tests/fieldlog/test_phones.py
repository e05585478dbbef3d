"""What phones say of themselves, and ending what somebody can do from one."""

import json
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from config.errors import Refused
from fieldlog.models import Phone
from fieldlog.queries.phones import phones_for
from fieldlog.services.phones import (
    MOST_WAITING,
    PhoneEnded,
    check_phone,
    end_phone,
    hear_from_phone,
    let_phone_in,
)
from fieldlog.told import clock_words
from plots.access import property_for

PHONE = UUID("7d6f0d0e-55c1-4a51-9a8e-2b1a3f5b7c01")
pytestmark = pytest.mark.django_db


def waits(slug, **said):
    begun = timezone.now() - timedelta(hours=3)
    return {"id": uuid4(), "kind": "visit", "title": "Creek", "slug": slug, "started_at": begun} | said


def heard(user, *waiting, **said):
    return hear_from_phone(user=user, phone_id=PHONE, waiting=list(waiting), name="Android phone", **said)


def signed_in(user):
    client = Client()
    client.force_login(user)
    return client


def tell(client, *waiting, sent_at=None):
    said = {"name": "Android phone", "sent_at": (sent_at or timezone.now()).isoformat(), "waiting": waiting}
    address = reverse("api-phone", args=[PHONE])
    return client.put(address, json.dumps(said, default=str), content_type="application/json")


def seen_by(user, farm):
    return phones_for(property_for(user, farm.slug), user)


def test_a_phone_tells_what_waits_and_how_far_off_its_clock_is(farm, recorder):
    client = signed_in(recorder)
    answer = tell(client, waits(farm.slug), sent_at=timezone.now() + timedelta(days=1))
    assert answer.status_code == 200
    assert answer.json()["is_ended"] is False
    assert answer.json()["clock_ahead_s"] == pytest.approx(86_400, abs=60)
    phone = Phone.objects.get()
    assert [each["title"] for each in phone.waiting] == ["Creek"]
    assert phone.session_key == client.session.session_key


def test_a_phone_said_anew_is_the_same_phone(farm, recorder):
    heard(recorder, waits(farm.slug), waits(farm.slug))
    phone = heard(recorder, waits(farm.slug))
    assert Phone.objects.get() == phone
    assert len(phone.waiting) == 1


def test_two_people_on_one_phone_have_what_each_recorded(farm, recorder, manager):
    hers, his = waits(farm.slug, recorded_by=recorder.pk), waits(farm.slug, recorded_by=manager.pk)
    of_hers, of_his = heard(recorder, hers, his), heard(manager, hers, his)
    assert [each["id"] for each in of_hers.waiting] == [str(hers["id"])]
    assert [each["id"] for each in of_his.waiting] == [str(his["id"])]


def test_what_waits_is_bounded(farm, recorder):
    phone = heard(recorder, *(waits(farm.slug) for _ in range(MOST_WAITING + 1)))
    assert len(phone.waiting) == MOST_WAITING
    with pytest.raises(Refused, match="title of what waits has 121 characters; at most 120"):
        heard(recorder, waits(farm.slug, title="x" * 121))


def test_the_page_shows_only_what_waits_for_this_property(farm, elsewhere, recorder, owner):
    heard(recorder, waits(farm.slug, title="Creek"), waits(elsewhere.slug, title="Far field"))
    [seen] = seen_by(owner, farm)
    assert [each.title for each in seen.waiting] == ["Creek"]
    text = signed_in(owner).get(reverse("phones", args=[farm.slug])).text
    assert "Creek" in text
    assert "Far field" not in text


def test_a_strangers_phone_is_on_no_page(farm, stranger, owner):
    heard(stranger, waits(farm.slug))
    assert seen_by(owner, farm) == []


def test_ending_a_phone_signs_out_there_and_takes_nothing_from_it(farm, recorder, owner):
    there, elsewhere = signed_in(recorder), signed_in(recorder)
    tell(there, waits(farm.slug))
    [seen] = seen_by(owner, farm)
    ended = end_phone(phone=seen.phone, by=owner, property=property_for(owner, farm.slug))
    assert (ended.ended_by, len(ended.waiting)) == (owner, 1)
    page = reverse("overview", args=[farm.slug])
    assert there.get(page).status_code == 302
    assert elsewhere.get(page).status_code == 200
    with pytest.raises(PhoneEnded, match="access was ended on"):
        check_phone(recorder, PHONE)
    assert check_phone(recorder, uuid4()).ended_at is None  # another phone of the same person
    assert check_phone(owner, PHONE).ended_at is None  # another person on the same phone
    assert check_phone(recorder, None) is None


def test_an_ended_phone_still_says_what_waits_on_it(farm, recorder, owner):
    phone = heard(recorder)
    end_phone(phone=phone, by=owner, property=property_for(owner, farm.slug))
    answer = tell(signed_in(recorder), waits(farm.slug))
    assert answer.json()["is_ended"] is True
    assert len(Phone.objects.get().waiting) == 1


def test_an_older_session_of_an_ended_phone_goes_as_soon_as_it_is_heard(farm, recorder, owner):
    """It never said anything before, so nobody knew it when the phone was ended."""
    unheard, page = signed_in(recorder), reverse("overview", args=[farm.slug])
    end_phone(phone=heard(recorder), by=owner, property=property_for(owner, farm.slug))
    later = signed_in(recorder)
    assert tell(unheard, waits(farm.slug)).json()["is_ended"] is True
    assert len(Phone.objects.get().waiting) == 1
    assert unheard.get(page).status_code == 302
    tell(later)
    assert later.get(page).status_code == 200


def test_a_phone_is_let_in_again(farm, recorder, owner):
    phone = heard(recorder)
    property = property_for(owner, farm.slug)
    end_phone(phone=phone, by=owner, property=property)
    let_phone_in(phone=phone, by=owner, property=property)
    assert check_phone(recorder, PHONE) == phone


def test_a_manager_ends_the_phones_of_recorders_and_not_the_owners(farm, recorder, manager, owner):
    property = property_for(manager, farm.slug)
    end_phone(phone=heard(recorder), by=manager, property=property)
    end_phone(phone=heard(manager), by=manager, property=property)
    with pytest.raises(PermissionDenied):
        end_phone(phone=heard(owner), by=manager, property=property)
    said = {str(seen.phone.user): seen.may_end for seen in seen_by(manager, farm)}
    assert said == {"recorder": True, "manager": True, "owner": False}


def test_the_pages_ask_first_and_say_what_was_done(farm, recorder, owner):
    phone = heard(recorder, waits(farm.slug, title="Creek", refused="The plot is unknown."))
    client, address = signed_in(owner), reverse("phone", args=[farm.slug, phone.pk])
    asked = client.get(address).text
    assert "Creek" in asked
    assert "The plot is unknown." in asked
    assert Phone.objects.get().ended_at is None
    assert "is signed out on" in client.post(address, {"act": "end"}, follow=True).text
    assert "Let it in again" in client.get(reverse("phones", args=[farm.slug])).text
    client.post(address, {"act": "let-in"})
    assert Phone.objects.get().ended_at is None
    assert "is nothing that can be done" in client.post(address, {"act": "x"}, follow=True).text


@pytest.mark.parametrize(
    ("ahead_s", "words"),
    [(None, ""), (0, ""), (-100, ""), (3 * 3600, "3\xa0hours ahead"), (-86_400, "1\xa0day behind")],
)
def test_a_clock_that_is_off_is_told_in_words(ahead_s, words):
    assert clock_words(ahead_s) == words


def test_the_manifest_makes_an_app_of_the_field_log(farm, recorder):
    said = signed_in(recorder).get(reverse("manifest", args=[farm.slug])).json()
    page = reverse("field", args=[farm.slug])
    assert (said["id"], said["start_url"], said["display"]) == (page, page, "standalone")
    assert page.startswith(said["scope"])
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in said["icons"]}
