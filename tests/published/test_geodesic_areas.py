"""Plots of 0.1 acre to a county, measured by an independent library.

`data/geodesic_areas.csv` names for each row where its outline comes from and what computed its figures.
"""

import csv
from pathlib import Path

import pytest
import shapely

from plots.calc.geodesy import geodesic_acres, geodesic_area_perimeter

ROWS = list(csv.DictReader((Path(__file__).parent / "data/geodesic_areas.csv").read_text().splitlines()))

# Each edge's area runs down to the equator, some 10⁸ m² to 10¹⁰ m² of which double precision keeps about
# 10⁻⁵ m². For the smallest plots that is more than one part in 10⁹, hence one square centimetre.
AREA_FLOOR_M2 = 1e-4


@pytest.fixture(scope="module")
def measured():
    return geodesic_area_perimeter(shapely.from_wkt([row["wkt"] for row in ROWS]))


@pytest.mark.parametrize("row", range(len(ROWS)), ids=[row["name"] for row in ROWS])
def test_area_agrees_with_the_independent_library(row, measured):
    expected_m2 = float(ROWS[row]["area_m2"])
    assert measured[0][row] == pytest.approx(expected_m2, rel=1e-9, abs=AREA_FLOOR_M2)


@pytest.mark.parametrize("row", range(len(ROWS)), ids=[row["name"] for row in ROWS])
def test_perimeter_agrees_with_the_independent_library(row, measured):
    assert measured[1][row] == pytest.approx(float(ROWS[row]["perimeter_m"]), rel=1e-9)


def test_forty_acres_are_forty_international_acres():
    box = next(row for row in ROWS if row["name"].startswith("40 acre square box"))
    assert geodesic_acres(shapely.from_wkt(box["wkt"])) == pytest.approx(161948.2480394840 / 4046.8564224)


def test_published_diamond_across_the_equator():
    """GeographicLib 2.1 test suite (2025): perimeter 627598.2731 m, area 24619419146.0 m²."""
    diamond = shapely.Polygon([(-1, 0), (0, -1), (1, 0), (0, 1)])
    area_m2, perimeter_m = geodesic_area_perimeter(diamond)
    assert area_m2 == pytest.approx(24619419146.0, abs=1)
    assert perimeter_m == pytest.approx(627598.2731, abs=1e-4)


@pytest.mark.postgis
@pytest.mark.django_db
def test_area_agrees_with_postgis():
    """ST_Area(geography) has measured with GeographicLib since PostGIS 2.2 (its manual says), so it is the same
    algorithm in other hands: its own walk over rings and holes, its own ellipsoid table. 1e-6 is 0.4 ft² in
    ten acres and leaves room for the way it rounds an ellipsoid's axes."""
    from django.db import connection

    if connection.vendor != "postgresql":
        pytest.skip("the database is not PostgreSQL, so there is no ST_Area to compare with")
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT ST_Area(ST_GeomFromText(wkt, 4326)::geography), "
            "ST_Perimeter(ST_GeomFromText(wkt, 4326)::geography) "
            "FROM unnest(%s::text[]) WITH ORDINALITY AS plot(wkt, row) ORDER BY row",
            [[row["wkt"] for row in ROWS]],
        )
        postgis_m2, postgis_m = zip(*cursor.fetchall(), strict=True)
    area_m2, perimeter_m = geodesic_area_perimeter(shapely.from_wkt([row["wkt"] for row in ROWS]))
    assert area_m2 == pytest.approx(postgis_m2, rel=1e-6)
    assert perimeter_m == pytest.approx(postgis_m, rel=1e-6)
