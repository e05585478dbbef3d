"""The field log on a phone: every member reads what it knows; the page itself is the same for everybody."""

from tests.isolation import MEMBERS, PEOPLE, Row

ROWS = [
    Row("field-shell", "GET", PEOPLE),
    Row("field", "GET", MEMBERS),
    Row("field-facts", "GET", MEMBERS),
]


def things(farm, owner):
    return {}
