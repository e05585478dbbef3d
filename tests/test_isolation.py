"""Route × method × person: everybody gets exactly what their place on the property allows."""

import json
import pkgutil
from importlib import import_module

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

import tests.isolation
from tests.isolation import PEOPLE

MODULES = [
    import_module(f"tests.isolation.{each.name}") for each in pkgutil.iter_modules(tests.isolation.__path__)
]
ROWS = [row for module in MODULES for row in module.ROWS]


def routes(patterns=None):
    """Name -> argument names, of every route of the site."""
    found = {}
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLPattern):
            found[pattern.name] = set(pattern.pattern.converters)
        else:
            within = routes(pattern.url_patterns)
            found |= {name: names | set(pattern.pattern.converters) for name, names in within.items()}
    return found


ROUTES = routes()


@pytest.fixture
def cast(owner, manager, recorder, viewer, stranger):
    return {user.username: user for user in (owner, manager, recorder, viewer, stranger)}


@pytest.fixture
def things(farm, cast):
    """What the arguments of the routes name, all of the property under test."""
    found = {}
    for module in MODULES:
        found |= module.things(farm, cast["owner"])
    return found


def ask(user, row, address):
    """The answer to one person; what the request changed is undone."""
    client = Client()
    if user is not None:
        client.force_login(user)
    savepoint = transaction.savepoint()
    kind = "application/json" if row.is_api else "application/x-www-form-urlencoded"
    if row.method == "GET":
        response = client.get(address)
    elif row.method == "POST" and not row.is_api:
        response = client.post(address, row.body)
    else:
        response = client.generic(row.method, address, json.dumps(row.body), kind)
    transaction.savepoint_rollback(savepoint)
    return response


def address_of(row, things, **instead):
    values = things | instead
    kwargs = {name: values[row.named.get(name, name)] for name in ROUTES[row.route]}
    return reverse(row.route, kwargs=kwargs) + row.query.format(**values)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.method} {row.route}")
def test_everybody_gets_what_their_place_allows(row, things, cast):
    address = address_of(row, things)
    answers = {person: ask(cast.get(person), row, address) for person in PEOPLE}
    assert {person: answer.status_code for person, answer in answers.items()} == {
        person: row.expected(person) for person in PEOPLE
    }
    if answers["nobody"].status_code == 302:
        assert answers["nobody"].url.startswith(f"{reverse('sign-in')}?next=")


ROWS_OF_A_PROPERTY = [
    row for row in ROWS if "slug" in ROUTES[row.route] and len(ROUTES[row.route]) > 1 and not row.is_shared
]


@pytest.mark.parametrize("row", ROWS_OF_A_PROPERTY, ids=lambda row: f"{row.method} {row.route}")
def test_nothing_is_reached_through_another_property(row, things, cast, elsewhere):
    """The stranger owns `elsewhere`, and asks there for what belongs to the farm."""
    assert ask(cast["stranger"], row, address_of(row, things, slug=elsewhere.slug)).status_code == 404


@pytest.mark.parametrize("route", ROUTES)
def test_every_route_and_method_has_a_row(route, things, cast):
    """A method that no view knows is answered with those that this one takes."""
    rows = [row for row in ROWS if row.route == route]
    assert rows, f"{route} is missing from the table of who may do what."
    client = Client()
    if all(row.expected("nobody") != 200 for row in rows):
        client.force_login(cast["owner"])
    answer = client.generic("PROPFIND", address_of(rows[0], things))
    assert answer.status_code == 405, "The view does not say which methods it takes."
    taken = {method.strip() for method in answer["Allow"].split(",")} - {"HEAD", "OPTIONS"}
    assert {row.method for row in rows} == taken
