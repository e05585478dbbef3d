"""Accounts: the first owner's link, signing in and out, tokens."""

import pytest
from django.urls import reverse

from config.errors import Refused
from plots.models import ApiToken, FirstOwnerLink, Membership, Property, User
from plots.services import people

ANSWERS = {
    "full_name": "Ada Fenwick",
    "username": "ada",
    "password": "a long enough sentence",
    "property_name": "Tally Hollow",
}


@pytest.fixture
def link(db):
    return reverse("welcome", args=[people.first_owner_link()])


def test_the_link_makes_the_owners_account_and_property_and_signs_in(client, link):
    response = client.post(link, ANSWERS)
    assert response.url == reverse("home")
    membership = Membership.objects.get()
    assert (membership.user.username, membership.property.name, membership.role) == (
        "ada",
        "Tally Hollow",
        "owner",
    )
    assert client.get(reverse("home")).url == reverse("overview", args=["tally-hollow"])


def test_the_link_works_once(client, link):
    client.post(link, ANSWERS)
    client.logout()
    assert client.post(link, ANSWERS | {"username": "eve"}).status_code == 404
    assert User.objects.count() == 1


def test_a_wrong_link_and_a_used_link_say_the_same(client, link):
    wrong = client.get(reverse("welcome", args=["x" * 43]))
    client.post(link, ANSWERS)
    client.logout()
    used = client.get(link)
    assert wrong.status_code == used.status_code == 404
    assert wrong.content == used.content


def test_a_fresh_link_ends_the_one_before(client, link):
    people.first_owner_link()
    assert client.get(link).status_code == 404


def test_there_is_no_link_once_somebody_has_an_account(owner):
    assert people.first_owner_link() is None
    assert not FirstOwnerLink.objects.exists()


def test_an_open_link_is_refused_once_a_user_exists(client, link):
    User.objects.create_user("other")
    assert client.get(link).status_code == 404
    assert client.post(link, ANSWERS).status_code == 404


def test_the_link_survives_a_refused_password_and_the_sentence_stands_at_the_field(client, link):
    response = client.post(link, ANSWERS | {"password": "password"})
    assert "too common" in " ".join(response.context["form"].errors["password"])
    assert not User.objects.exists()
    assert client.get(link).status_code == 200


def test_the_secret_is_not_in_the_database(db):
    secret = people.first_owner_link()
    assert secret not in str(FirstOwnerLink.objects.values_list())


def test_of_two_who_press_at_once_one_wins(at_once):
    secret = people.first_owner_link()
    ada, eve = (
        lambda name=name: people.claim_first_owner(secret=secret, **ANSWERS | {"username": name})
        for name in ("ada", "eve")
    )
    outcomes = at_once(ada, eve)
    assert {type(outcome) for outcome in outcomes} == {User, Refused}
    assert User.objects.count() == Property.objects.count() == 1


def test_signing_in_leads_home(client, owner):
    response = client.post(reverse("sign-in"), {"username": "owner", "password": "correct horse battery"})
    assert response.url == reverse("home")


@pytest.mark.parametrize("name", ["owner", "nobody"])
def test_a_wrong_password_says_the_same_for_a_known_and_an_unknown_name(client, owner, name):
    response = client.post(reverse("sign-in"), {"username": name, "password": "wrong"})
    assert "do not fit together" in response.content.decode()


def test_signing_in_does_not_lead_to_another_host(client, owner):
    answers = {"username": "owner", "password": "correct horse battery", "next": "https://elsewhere.example/"}
    assert client.post(reverse("sign-in"), answers).url == reverse("home")


def test_signing_out_takes_a_post(client, owner):
    client.force_login(owner)
    assert client.get(reverse("sign-out")).status_code == 405
    assert client.post(reverse("sign-out")).url == reverse("sign-in")
    assert client.get(reverse("account")).status_code == 302


def test_a_token_is_shown_once_and_stored_as_its_digest(client, owner):
    client.force_login(owner)
    secret = client.post(reverse("account"), {"name": "Spreadsheet"}).context["secret"]
    assert ApiToken.objects.get().token_sha256 == people.secret_digest(secret)
    assert secret not in client.get(reverse("account")).content.decode()


def test_the_answer_with_a_secret_is_not_cached(client, owner):
    client.force_login(owner)
    assert "no-store" in client.post(reverse("account"), {"name": "Spreadsheet"})["Cache-Control"]


def test_an_ended_token_no_longer_signs_in(client, owner):
    token, secret = people.make_api_token(user=owner, name="Spreadsheet")
    bearer = {"HTTP_AUTHORIZATION": f"Bearer {secret}"}
    assert client.get("/api/v1/properties/", **bearer).status_code == 200
    client.force_login(owner)
    client.post(reverse("token-end", args=[token.pk]))
    client.logout()
    assert client.get("/api/v1/properties/", **bearer).status_code == 401


def test_nobody_ends_another_persons_token(client, owner, viewer):
    token, _ = people.make_api_token(user=owner, name="Spreadsheet")
    client.force_login(viewer)
    assert client.post(reverse("token-end", args=[token.pk])).status_code == 404
    assert ApiToken.objects.filter(pk=token.pk).exists()
