"""Which pictures show the same view: taken at one place, looking one way."""

from math import cos, hypot, radians

_M_PER_DEG = 111_195.0  # of a great circle on a sphere of 6,371.0 km; metres matter here, not millimetres
NEAR_M, NEAR_DEG = (
    15.0,
    30.0,
)  # ours: what a phone's position is good to, and about half of what a camera sees
_NAMES = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def metres_between(first, second):
    """Distance of two places, (longitude, latitude) in degrees; None where one is not known. [m]

    Good to a few parts in a thousand over the length of a plot.

    Examples
    --------
    >>> round(metres_between((-92.0, 38.0), (-92.0, 38.001)), 1)
    111.2
    >>> metres_between((None, None), (-92.0, 38.0)) is None
    True
    """
    if None in first or None in second:
        return None
    east = (second[0] - first[0]) * cos(radians((first[1] + second[1]) / 2))
    return _M_PER_DEG * hypot(east, second[1] - first[1])


def degrees_between(first, second):
    """The angle between two bearings, 0 to 180; None where one is not known. [°]

    Examples
    --------
    >>> degrees_between(350, 20), degrees_between(None, 20)
    (30, None)
    """
    if first is None or second is None:
        return None
    turn = abs(first - second) % 360
    return min(turn, 360 - turn)


def direction(bearing_deg):
    """The nearest of eight directions, such as 'NE'; empty where the bearing is not known.

    Examples
    --------
    >>> direction(359), direction(50), direction(None)
    ('N', 'NE', '')
    """
    return "" if bearing_deg is None else _NAMES[round(bearing_deg % 360 / 45) % 8]


def is_same_view(place, bearing_deg, other_place, other_bearing_deg, *, near_m=NEAR_M, near_deg=NEAR_DEG):
    """Whether two pictures are known to show the same view; what is not known of a bearing does not part them.

    Parameters
    ----------
    place, other_place : (float or None, float or None)
        Longitude, latitude. [°]
    bearing_deg, other_bearing_deg : float or None
        From true north through east. [°]
    near_m, near_deg : float
        How far apart they may be. [m, °]

    Returns
    -------
    bool
        False where a place is not known.
    """
    apart_m = metres_between(place, other_place)
    turned_deg = degrees_between(bearing_deg, other_bearing_deg)
    return apart_m is not None and apart_m <= near_m and (turned_deg is None or turned_deg <= near_deg)
