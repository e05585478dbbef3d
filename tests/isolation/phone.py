"""Planting day on a phone: every member reads the sheets; the page itself is the same for everybody."""

from tests.isolation import MEMBERS, PEOPLE, Row

ROWS = [
    Row("sheets-shell", "GET", PEOPLE),
    Row("field-sheets", "GET", MEMBERS),
    Row("field-planting", "GET", MEMBERS),
]


def things(farm, owner):
    return {}
