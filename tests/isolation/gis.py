"""The page that tells how a GIS is connected."""

from tests.isolation import MEMBERS, Row

ROWS = [Row("gis", "GET", MEMBERS)]


def things(farm, owner):
    return {}
