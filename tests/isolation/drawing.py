"""The pages on which boundaries are drawn."""

from tests.isolation import EDITORS, Row

ROWS = [
    Row("boundary-draw", "GET", EDITORS),
    Row("boundary-edit", "GET", EDITORS),
]


def things(farm, owner):
    return {}
