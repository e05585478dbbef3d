"""The property's name and the days of its frosts, on the page and by the API."""

import json
from datetime import date

import pytest
from django.urls import reverse

from config.errors import Refused
from plots.services.properties import update_property


@pytest.fixture
def settings_page(client, manager, farm):
    client.force_login(manager)
    address = reverse("property-settings", args=[farm.slug])

    def settings_page(**posted):
        return client.post(address, posted) if posted else client.get(address)

    return settings_page


def frosts(farm):
    farm.refresh_from_db()
    return farm.last_frost_on, farm.first_frost_on


def test_frosts_are_typed_without_a_year_and_shown_so(settings_page, farm):
    response = settings_page(name="Home Farm", last_frost_on="Apr 20", first_frost_on="10/15")
    assert response.status_code == 302
    assert frosts(farm) == (date(2000, 4, 20), date(2000, 10, 15))
    text = settings_page().content.decode()
    assert 'value="Apr 20"' in text
    assert 'value="Oct 15"' in text


def test_a_frost_that_is_left_empty_is_unknown(settings_page, farm):
    settings_page(name="Home Farm", last_frost_on="", first_frost_on="Oct 15")
    assert frosts(farm) == (None, date(2000, 10, 15))


def test_what_is_no_day_is_said_at_the_field_and_nothing_is_saved(settings_page, farm):
    response = settings_page(name="Renamed", last_frost_on="Apr 31", first_frost_on="Oct 15")
    text = response.content.decode()
    assert "“Apr 31” is not a day of the year" in text
    assert 'value="Apr 31"' in text
    assert frosts(farm) == (None, None)


def test_renaming_keeps_the_address(settings_page, farm):
    slug = farm.slug
    settings_page(name="  Far   Side ", last_frost_on="", first_frost_on="")
    farm.refresh_from_db()
    assert (farm.name, farm.slug) == ("Far Side", slug)


def test_a_property_keeps_a_name(farm):
    with pytest.raises(Refused):
        update_property(property=farm, name="  ", last_frost_on=None, first_frost_on=None)


@pytest.fixture
def patch(client, manager, farm):
    client.force_login(manager)
    address = reverse("api-property", args=[farm.slug])
    return lambda body: client.patch(address, json.dumps(body), "application/json")


def test_api_sets_one_frost_and_leaves_the_rest(patch, farm):
    assert patch({"last_frost_on": "04-20"}).json()["last_frost_on"] == "04-20"
    answer = patch({"first_frost_on": "10-15"}).json()
    assert (answer["last_frost_on"], answer["first_frost_on"]) == ("04-20", "10-15")
    assert patch({"last_frost_on": None}).json()["last_frost_on"] is None


@pytest.mark.parametrize("day", ["04-31", "soon", 420, ["04-20"]])
def test_api_refuses_what_is_no_day(patch, farm, day):
    answer = patch({"last_frost_on": day})
    assert answer.status_code == 400
    assert "is not a day of the year" in answer.json()["error"]["fields"]["last_frost_on"][0]


def test_api_makes_a_property_with_its_frosts(client, manager):
    client.force_login(manager)
    body = json.dumps({"name": "Ridge", "last_frost_on": "05-01"})
    answer = client.post(reverse("api-properties"), body, "application/json")
    assert (answer.status_code, answer.json()["last_frost_on"]) == (201, "05-01")


def test_api_sets_a_plots_objective(client, manager, farm, make_plot):
    client.force_login(manager)
    plot = make_plot()
    address = reverse("api-plot", args=[farm.slug, plot.pk])
    assert client.get(address).json()["objective"] == ""
    answer = client.patch(address, json.dumps({"objective": "balance"}), "application/json")
    assert (answer.json()["objective"], answer.json()["name"]) == ("balance", plot.name)
    answer = client.patch(address, json.dumps({"objective": "grow_trees"}), "application/json")
    assert answer.status_code == 400


def test_address_and_terms_of_purchase_orders_are_kept(settings_page, farm):
    plain = {"name": "Home Farm", "last_frost_on": "", "first_frost_on": ""}
    settings_page(**plain, address="Home Farm\n1 Creek Road", order_terms="Net 30 days.")
    farm.refresh_from_db()
    assert (farm.address.splitlines(), farm.order_terms) == (["Home Farm", "1 Creek Road"], "Net 30 days.")
    text = settings_page().content.decode()
    assert "1 Creek Road" in text
    assert (
        "x" * 501 in settings_page(**plain, address="x" * 501).content.decode()
    )  # too long: what was typed stays


def test_api_sets_the_address_and_leaves_the_terms(patch, farm):
    patch({"order_terms": "Net 30 days."})
    answer = patch({"address": "1 Creek Road"}).json()
    assert (answer["address"], answer["order_terms"]) == ("1 Creek Road", "Net 30 days.")
