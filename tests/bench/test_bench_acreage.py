"""Acreage of 100,000 plots against a bare pyproj loop and against PostGIS.

    .venv/bin/pytest tests/bench/test_bench_acreage.py --override-ini addopts= -s

Set DATABASE_URL to a PostgreSQL server with PostGIS for the second ratio. The goal is 1.1 times the bare loop
or less. The loop runs on one core over ready coordinate arrays; ours starts from geometries and shares the
cores, so its one-core ratio is printed too: that and the ratio of CPU times hold on a busy machine.
"""

import numpy as np
import pytest
import shapely

from plots.calc import geodesy
from plots.calc.geodesy import WGS84, geodesic_area_perimeter
from tests.bench.clock import best_of, said

PLOTS, VERTICES, ROUNDS, GOAL = 100_000, 36, 3, 1.1


@pytest.fixture(scope="module")
def outlines():
    """Coordinates of plots of about 3 acres, shape (plots, vertices, 2), not closed."""
    random = np.random.default_rng(11)
    angles = np.linspace(0, 2 * np.pi, VERTICES, endpoint=False)
    spokes = random.uniform(0.0006, 0.0009, (PLOTS, VERTICES))
    centres = random.uniform((-110, 30), (-80, 47), (PLOTS, 2))[:, np.newaxis]
    return centres + np.stack([spokes * np.cos(angles), spokes * np.sin(angles)], axis=-1)


def test_acreage_against_a_bare_loop(outlines, monkeypatch, benchmark):
    # As the database stores them: each a MultiPolygon.
    plots = shapely.multipolygons(shapely.polygons(outlines), indices=np.arange(PLOTS))
    rings = [(ring[:, 0].copy(), ring[:, 1].copy()) for ring in outlines]

    def bare_loop():
        return [WGS84.polygon_area_perimeter(lons, lats) for lons, lats in rings]

    def one_core():
        with monkeypatch.context() as patch:
            patch.setattr(geodesy.os, "cpu_count", lambda: 1)
            geodesic_area_perimeter(plots)

    bare, ours, alone = best_of(ROUNDS, bare_loop, lambda: geodesic_area_perimeter(plots), one_core)
    print(f"\n{PLOTS:,} plots of {VERTICES} vertices, goal {GOAL}; a bare pyproj loop takes {bare}")
    print(said("ours on all cores", ours, bare), said("ours on one core", alone, bare), sep="\n")
    benchmark.extra_info["ratio_to_bare_loop"] = ours.ratio_to(bare)
    benchmark.pedantic(geodesic_area_perimeter, [plots])
    area_m2, perimeter_m = geodesic_area_perimeter(plots)
    bare_m2, bare_m = np.abs(bare_loop()).T
    assert area_m2 == pytest.approx(bare_m2, rel=1e-9)
    assert perimeter_m == pytest.approx(bare_m, rel=1e-9)
    assert min(*ours.ratio_to(bare), *alone.ratio_to(bare)) <= GOAL


@pytest.mark.django_db
def test_acreage_against_postgis(outlines):
    from django.db import connection

    if connection.vendor != "postgresql":
        print("\nno ratio to PostGIS: DATABASE_URL is not a PostgreSQL server")
        pytest.skip("DATABASE_URL is not a PostgreSQL server")
    plots = shapely.polygons(outlines)
    with connection.cursor() as cursor:
        cursor.execute("CREATE TEMPORARY TABLE bench_plot (row int, outline geography(Polygon, 4326))")
        hex_wkb = shapely.to_wkb(plots, hex=True).tolist()
        with cursor.copy("COPY bench_plot FROM STDIN") as copy:
            for row in enumerate(hex_wkb):
                copy.write_row(row)
        query = "SELECT ST_Area(outline), ST_Perimeter(outline) FROM bench_plot ORDER BY row"
        postgis, ours = best_of(ROUNDS, lambda: cursor.execute(query), lambda: geodesic_area_perimeter(plots))
        postgis_m2, _ = np.transpose(cursor.fetchall())
    print(
        f"\n{PLOTS:,} plots of {VERTICES} vertices: PostGIS takes {postgis.wall_s:.2f} s, ours {ours.wall_s:.2f} s, "
        f"ratio {ours.wall_s / postgis.wall_s:.2f}"
    )
    assert geodesic_area_perimeter(plots)[0] == pytest.approx(postgis_m2, rel=1e-6)
