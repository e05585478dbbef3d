"""Scripted walks: fixes as a phone would give them on the way round a known outline."""

import numpy as np
import shapely

from plots.calc.plane import Plane

PLANE = Plane(-92.0, 38.0)
# East and north of its corners [m]; 2.42 acres with a corner that points inwards.
DENT_M = [(0, 0), (120, 10), (140, 90), (60, 60), (-10, 110)]
# Of a two-dimensional normal error the radius with 95 % is 2.45 times the deviation along one axis (by definition:
# the root of the chi-squared quantile with two degrees of freedom, 5.991).
R95_PER_SIGMA = 2.4477


def way_round(corners_m, *, further_m=0.0, step_m=1.2):
    """Places [m] every `step_m` along a ring, and `further_m` past its start (or short of it)."""
    ring = shapely.LinearRing(corners_m)
    along_m = np.arange(0, ring.length + further_m, step_m)
    return shapely.get_coordinates(ring.interpolate(along_m % ring.length))


def way_along(corners_m, *, step_m=1.2):
    """Places [m] every `step_m` along a line, its end included."""
    line = shapely.LineString(corners_m)
    return shapely.get_coordinates(line.interpolate(np.r_[np.arange(0, line.length, step_m), line.length]))


def wander(count, r95_m, hold, rng):
    """Errors of a receiver that keeps the share `hold` of its error from one second to the next, shape (count, 2)."""
    sigma_m = r95_m / R95_PER_SIGMA
    errors = rng.normal(0, sigma_m, (count, 2))
    for now in range(1, count):
        errors[now] = hold * errors[now - 1] + np.sqrt(1 - hold**2) * errors[now]
    return errors


def fixes_at(places_m, *, accuracy_m=4.0, stretch=0, start_ms=0, step_ms=1000):
    """Fixes at places in metres, one a second."""
    count = len(places_m)
    lon_lat = shapely.get_coordinates(PLANE.to_degrees(shapely.points(places_m)))
    at_ms = start_ms + step_ms * np.arange(count)
    return np.column_stack([lon_lat, np.full(count, accuracy_m), at_ms, np.full(count, stretch)])


def square_walk(side_m=90.0, **options):
    """A clean walk round a square: [[longitude, latitude, accuracy, ms, stretch], …] as JSON has it."""
    corners = [(0, 0), (side_m, 0), (side_m, side_m), (0, side_m)]
    return as_sent(fixes_at(way_round(corners), **options))


def as_sent(fixes):
    return [
        [lon, lat, accuracy, int(at_ms), int(stretch)]
        for lon, lat, accuracy, at_ms, stretch in fixes.tolist()
    ]
