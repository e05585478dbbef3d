"""Who gets in at /ogc/, and what they learn there."""

from base64 import b64encode

import pytest

from blends.ogc.kinds import KINDS
from plots.models import ApiToken
from plots.services.people import make_api_token
from tests.blends.pages import signed_in

SOMETHING = "/ogc/collections/tally-hollow-plots/items"
NOTHING = "/ogc/collections/no-such-place-plots/items"


def basic(user, password):
    return "Basic " + b64encode(f"{user}:{password}".encode()).decode()


@pytest.fixture
def secret(viewer):
    return make_api_token(user=viewer, name="GIS")[1]


@pytest.mark.parametrize("person", ["viewer", "anybody", ""])
def test_token_is_the_password_of_any_user_name(client, ground, secret, person):
    assert client.get(SOMETHING, headers={"Authorization": basic(person, secret)}).status_code == 200


def test_token_may_be_a_bearer_token_or_stand_in_the_address(client, ground, secret):
    assert client.get(SOMETHING, headers={"Authorization": f"Bearer {secret}"}).status_code == 200
    assert client.get(SOMETHING, {"token": secret}).status_code == 200
    assert client.get(f"{SOMETHING}?token={secret}&token={secret}").status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        *({}, {"Authorization": "Bearer wrong"}, {"Authorization": "Bearer"}, {"Authorization": "Digest x"}),
        *(
            {"Authorization": "Basic !!"},
            {"Authorization": "Basic /w=="},
            {"Authorization": basic("viewer", "no")},
        ),
        {"Authorization": basic("viewer", "correct horse battery")},
    ],
)
@pytest.mark.parametrize("method", ["get", "post", "delete"])
def test_without_a_good_token_there_is_nothing_to_tell_apart(client, ground, headers, method):
    answers = [
        getattr(client, method)(address, headers=headers)
        for address in (SOMETHING, NOTHING, "/ogc/", "/ogc/x")
    ]
    assert {answer.status_code for answer in answers} == {401}
    assert len({answer.content for answer in answers}) == 1
    assert set(answers[0].json()) == {"code", "description"}
    assert {"Basic", "Bearer"} <= set(answers[0]["WWW-Authenticate"].replace(",", "").split())


def test_token_that_was_ended_or_whose_person_left_opens_nothing(client, ground, viewer, secret):
    viewer.is_active = False
    viewer.save()
    assert client.get(SOMETHING, {"token": secret}).status_code == 401
    viewer.is_active = True
    viewer.save()
    ApiToken.objects.all().delete()
    assert client.get(SOMETHING, {"token": secret}).status_code == 401


def test_wrong_token_is_refused_even_where_somebody_is_signed_in(ground, viewer):
    assert signed_in(viewer).get(SOMETHING, {"token": "wrong"}).status_code == 401


def test_stranger_sees_only_their_own_collections_and_learns_of_no_other(client, ground, stranger):
    _, secret = make_api_token(user=stranger, name="GIS")
    found = client.get("/ogc/collections", {"token": secret}).json()["collections"]
    assert {each["id"].removeprefix("far-side-") for each in found} == set(KINDS)
    answers = [client.get(address, {"token": secret}) for address in (SOMETHING, NOTHING)]
    assert [answer.status_code for answer in answers] == [404, 404]
    assert answers[0].content == answers[1].content


@pytest.mark.parametrize("kind", KINDS)
def test_feature_of_another_property_is_not_reached_through_ones_own(client, ground, stranger, ask, kind):
    first = ask(f"collections/tally-hollow-{kind}/items").json()["features"][0]["id"]
    address = f"collections/{{}}-{kind}/items/{first}"
    assert ask(address.format("tally-hollow")).status_code == 200
    _, secret = make_api_token(user=stranger, name="GIS")
    assert client.get(f"/ogc/{address.format('far-side')}", {"token": secret}).status_code == 404


def test_token_of_the_address_is_repeated_on_every_link_and_no_other_is(client, ground, secret):
    def hrefs(found):
        if isinstance(found, dict):
            yield from ([found["href"]] if "href" in found else [])
            found = list(found.values())
        if isinstance(found, list):
            for each in found:
                yield from hrefs(each)

    places = ["", "/conformance", "/collections", "/collections/tally-hollow-plots"]
    places.append("/collections/tally-hollow-plots/items")
    places.append(f"/collections/tally-hollow-plots/items/{ground[0].pk}")
    for place in places:
        address = f"/ogc{place}" if place else "/ogc/"
        with_token = list(hrefs(client.get(address, {"token": secret}).json()))
        assert with_token
        assert all(f"token={secret}" in href for href in with_token)
        by_header = hrefs(client.get(address, headers={"Authorization": f"Bearer {secret}"}).json())
        assert not any("token" in href for href in by_header)


def test_links_name_the_public_host_behind_a_proxy(settings, ask, ground):
    settings.CSRF_TRUSTED_ORIGINS = ["https://plots.example"]
    for host, root in [("plots.example", "https://plots.example/"), ("evil.example", "http://testserver/")]:
        links = ask(headers={"X-Forwarded-Host": host}).json()["links"]
        assert all(link["href"].startswith(f"{root}ogc/") for link in links)


def test_answers_are_kept_by_no_cache(ask, ground):
    assert {"private", "no-store"} <= set(ask()["Cache-Control"].replace(",", "").split())


def test_browser_without_a_token_is_led_to_the_sign_in_page(client, ground):
    answer = client.get("/ogc/", headers={"Accept": "text/html,*/*;q=0.8"})
    assert answer.status_code == 401
    assert "/sign-in/?next=/ogc/" in answer.text
