"""The calculators. The pages belong to a property; the API asks only for somebody who is signed in."""

from fieldlog.calculations import calculations
from tests.isolation import MEMBERS, PEOPLE, Row

SIGNED_IN = [person for person in PEOPLE if person != "nobody"]
# Every property has the same calculations.
SHARED = {"is_shared": True}

ROWS = [
    Row("arithmetic", "GET", MEMBERS),
    Row("calculator", "GET", MEMBERS, **SHARED),
    Row("api-arithmetic", "GET", SIGNED_IN),
    Row("api-calculation", "GET", SIGNED_IN),
    Row("api-calculation", "POST", SIGNED_IN),
]


def things(farm, owner):
    return {"calculation": calculations()[0].name}
