"""Connecting a phone: the page is for everybody who is signed in, the authority's certificate for a phone that is not yet.

There is no authority here, so that everybody gets the same 404; tests/fieldlog/test_connect.py has one.
"""

from tests.isolation import PEOPLE, Row

ROWS = [
    Row("connect", "GET", [person for person in PEOPLE if person != "nobody"]),
    Row("connect-authority", "GET", PEOPLE, status=404),
]


def things(farm, owner):
    return {}
