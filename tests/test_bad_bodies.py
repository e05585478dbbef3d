"""Bodies that no well-meaning client sends: refused in the one error body, never a failure, nothing half stored."""

import json
from copy import deepcopy
from itertools import cycle

import pytest
from django.db import transaction
from django.test import Client

from tests.good_bodies import bodies

LONG = "x" * 1_000_000
BAD = {
    "null": None,
    "yes": True,
    "no as text": "false",
    "minus one": -1,
    "nought": 0,
    "tiny": "0.0000000000000000000000000000001",
    "huge": 10**30,
    "huge text": "1e400",
    "id too large": 2**63,
    "float": 1.5,
    "not a number": float("nan"),
    "without end": float("inf"),
    "NaN in text": "NaN",
    "infinite text": "-Infinity",
    "sNaN": "sNaN",
    "empty": "",
    "blank": "  ",
    "word": "mice",
    "zero byte": "a\0b",
    "half a pair": "\ud800",
    "long": LONG,
    "digits": "9" * 5000,
    "list": [],
    "list of lists": [[[]]],
    "list of null": [None],
    "list of dict": [{}],
    "dict": {},
    "dict of dicts": {"main": {"a": []}, "from": {"main": 1}},
    "year one": "0001-01-01",
    "year last": "9999-12-31",
    "no day": "2026-02-30",
    "moment": "9999-12-31T23:59:59Z",
    "moment one": "0001-01-01T00:00:00+14:00",
    "uuid": "00000000-0000-4000-8000-000000000000",
    "unknown id": 9_999_999,
}


def places(value, at=()):
    """Where in a body something stands."""
    yield at
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, each in inner:
        yield from places(each, (*at, key))


def with_(body, at, bad):
    if not at:
        return bad
    body = deepcopy(body)
    within = body
    for key in at[:-1]:
        within = within[key]
    within[at[-1]] = bad
    return body


@pytest.fixture
def asked(farm, owner, make_plot):
    return bodies(farm, owner, make_plot)


def mangled(asked):
    """(method, path, body, what was done): at every other place of every body a thing that does not belong there."""
    bad = cycle(BAD.items())
    for method, path, body in asked:
        for at in list(places(body))[::2]:
            name, value = next(bad)
            yield method, path, with_(body, at, value), f"{name} at {'.'.join(map(str, at)) or 'all of it'}"


def ask(client, farm, method, path, body):
    """The answer; what the request changed is undone."""
    savepoint = transaction.savepoint()
    address = f"/api/v1/properties/{farm.slug}/{path}"
    answer = client.generic(method, address, json.dumps(body), "application/json")
    transaction.savepoint_rollback(savepoint)
    return answer


def test_bodies_are_refused_in_the_one_error_body_or_taken(asked, owner, farm):
    client = Client()
    client.force_login(owner)
    for method, path, body in asked:
        answer = ask(client, farm, method, path, body)
        assert answer.status_code < 300, f"{method} {path}: {answer.content}"
    refused = 0
    for method, path, body, done in mangled(asked):
        answer = ask(client, farm, method, path, body)  # a failure of the server is raised here
        if answer.status_code < 300:
            continue
        assert answer.status_code in (400, 404, 409), f"{method} {path}, {done}"
        said = answer.json()
        assert said["error"].keys() == {"code", "message", "fields"}, f"{method} {path}, {done}"
        assert said["error"]["message"], f"{method} {path}, {done}"
        assert len(answer.content) < 6_000, f"{method} {path}, {done}"
        refused += 1
    assert refused > len(asked)
