"""Coordinate systems: what a file or a person names, whether coordinates fit it, and the way to WGS84."""

import re
import warnings

import numpy as np
import pyproj
import shapely
from pyproj import CRS, Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.exceptions import CRSError, ProjError
from pyproj.transformer import TransformerGroup

from plots.formats.attributes import as_name, quoted
from plots.formats.model import UnusableFile

pyproj.network.set_network_enabled(False)  # a file must not make PROJ fetch a grid

WGS84 = CRS.from_epsg(4326)

_ASKED = re.compile(r"(?:EPSG:{1,2})?(\d{4,6})", re.IGNORECASE)
_IN_FILE = re.compile(r"(?:urn:ogc:def:crs:)?EPSG:(?:[\d.]*:)?(\d{4,6})", re.IGNORECASE)
_CRS84 = re.compile(r"(?:urn:ogc:def:crs:)?OGC:(?:[\d.]*:)?CRS84", re.IGNORECASE)

_SURE = 90  # per cent: the same parameters under another spelling of the name
_FARMED_LATITUDES = (-60.0, 75.0)  # from memory: nothing is grown outdoors beyond these
_MARGIN_DEGREES = 6.0  # one UTM zone: people do use their zone a little beyond its edge
_RETURN_TOLERANCE = 1_000.0  # of coordinates transformed and back [file units]; nonsense is off by far more
_ROUGH_M = 5.0  # a difference between datums that a person would see on a photograph


def asked_for(text):
    """The system that a person names as 'EPSG:26915' or '26915'."""
    match = _ASKED.fullmatch(str(text).strip())
    if not match:
        raise UnusableFile(
            f"{quoted(text)} is no coordinate system; give it as EPSG: and a number, such as EPSG:26915."
        )
    crs = _from_epsg(match[1])
    if crs is None:
        raise UnusableFile(
            f"EPSG:{match[1]} is not a map or longitude/latitude system that is known here; "
            "give another number, such as EPSG:26915."
        )
    return crs


def from_file(text):
    """The system that a file names by an EPSG code, an OGC name or WKT; None when it cannot be told."""
    text = (text or "").strip()
    if _CRS84.fullmatch(text):
        return WGS84
    if match := _IN_FILE.fullmatch(text):
        return _from_epsg(match[1])
    if "[" not in text:
        return None
    try:
        crs = CRS.from_wkt(text)
        code = crs.to_epsg(_SURE)  # the register knows where a system is used, a file rarely says
    except (CRSError, ProjError):
        return None
    return (code and _from_epsg(code)) or _flat(crs)


def words(crs):
    """'EPSG:26915 NAD83 / UTM zone 15N'."""
    authority = crs.to_authority()
    return as_name(f"{':'.join(authority)} {crs.name}" if authority else crs.name)


class Placement:
    """Puts coordinates of one system on the globe."""

    def __init__(self, crs):
        self.crs = crs
        self.words = words(crs)
        try:
            self._forward = Transformer.from_crs(crs, WGS84, always_xy=True)
        except ProjError:
            raise UnusableFile(
                f"There is no way from {self.words} to WGS84; give the coordinate system as EPSG:n.",
                needs="crs",
            ) from None

    def to_lon_lat(self, xy):
        """Longitude and latitude on WGS84 of (x, y) in the file's system.

        Parameters
        ----------
        xy : ndarray, shape (n, 2)

        Returns
        -------
        ndarray, shape (n, 2)
            [degrees]; infinite where there is no such place.
        """
        if self.crs == WGS84:
            return xy
        return np.column_stack(self._forward.transform(xy[:, 0], xy[:, 1], errcheck=False))

    def check(self, xy, *, axes_confirmed=False):
        """Refuse coordinates that do not fit the system, or whose axes look swapped.

        Raises
        ------
        UnusableFile
            With `needs` 'crs' or 'axes'.
        """
        lon_lat = self._fitting(xy)
        if lon_lat is not None and (axes_confirmed or _partly_farmed(lon_lat)):
            return
        swapped = None if axes_confirmed else self._fitting(xy[:, ::-1])
        if swapped is not None and _wholly_farmed(swapped):
            here = "nowhere" if lon_lat is None else f"at {_place(lon_lat)}"
            raise UnusableFile(
                f"The axes look swapped: as written the outlines lie {here}, where no plot can be; with the two "
                f"coordinates exchanged they lie at {_place(swapped)}. Confirm the swap if that is right.",
                needs="axes",
            )
        if lon_lat is None:
            low, high = xy.min(axis=0), xy.max(axis=0)
            raise UnusableFile(
                f"The coordinates (x {low[0]:.10g} to {high[0]:.10g}, y {low[1]:.10g} to {high[1]:.10g}) are out of "
                f"the range of {self.words}; give the coordinate system they are in as EPSG:n.",
                needs="crs",
                extent=(*low, *high),
            )

    def accuracy_note(self, lon_lat):
        """A sentence when the way to WGS84 is rough, else None."""
        if self.crs.geodetic_crs == WGS84:
            return None
        west, south, east, north = (*lon_lat.min(axis=0), *lon_lat.max(axis=0))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about grids that are not installed: said below
            try:
                group = TransformerGroup(
                    self.crs, WGS84, always_xy=True, area_of_interest=AreaOfInterest(west, south, east, north)
                )
            except ProjError:
                return None
        accuracy_m = group.transformers[0].accuracy if group.transformers else -1
        if 0 <= accuracy_m <= _ROUGH_M:
            return None
        about = f"about {accuracy_m:.0f} m" if accuracy_m > 0 else "an unknown distance"
        return f"The change of datum from {self.words} may shift the plots by {about}; the acreage is not affected."

    def _fitting(self, xy):
        """Longitude and latitude when all coordinates fit the system, else None."""
        if self.crs.is_geographic and not _on_globe(xy * self._degrees_per_unit()):
            return None
        looks_like_degrees = (np.abs(xy) <= 180).all()  # on a grid: all within sight of its origin
        if self.crs.is_projected and looks_like_degrees:
            return None
        lon_lat = self.to_lon_lat(xy)
        if not _on_globe(lon_lat) or not self._in_area_of_use(lon_lat):
            return None
        if self.crs.is_projected:
            back = np.column_stack(
                self._forward.transform(lon_lat[:, 0], lon_lat[:, 1], errcheck=False, direction="INVERSE")
            )
            if not (np.abs(back - xy) <= _RETURN_TOLERANCE).all():
                return None
        return lon_lat

    def _degrees_per_unit(self):
        return np.degrees(self.crs.axis_info[0].unit_conversion_factor)

    def _in_area_of_use(self, lon_lat):
        area = self.crs.area_of_use
        if area is None:
            return True
        low, high = lon_lat.min(axis=0) + _MARGIN_DEGREES, lon_lat.max(axis=0) - _MARGIN_DEGREES
        across_180 = area.west > area.east
        return (
            low[1] >= area.south
            and high[1] <= area.north
            and (across_180 or (low[0] >= area.west and high[0] <= area.east))
        )


def crosses_180(geometry):
    """Whether an edge jumps across the 180th meridian instead of being cut there.

    A jump along a pole is no edge on the ground.

    Parameters
    ----------
    geometry : shapely MultiPolygon
        Longitude and latitude. [degrees]

    Returns
    -------
    bool
    """
    for ring in shapely.get_rings(shapely.get_parts(geometry)):
        lon_lat = shapely.get_coordinates(ring)
        jump = np.abs(np.diff(lon_lat[:, 0])) > 180
        if (jump & (np.abs(lon_lat[1:, 1]) < 89.9)).any():
            return True
    return False


def _from_epsg(code):
    try:
        return _flat(CRS.from_epsg(int(code)))
    except CRSError:
        return None


def _flat(crs):
    """The system without heights; None when it is not one of a map or of longitude and latitude."""
    if crs.is_compound:
        crs = crs.sub_crs_list[0]
    crs = crs.to_2d()
    return crs if crs.is_geographic or crs.is_projected else None


def _on_globe(lon_lat):
    return bool(np.isfinite(lon_lat).all() and (np.abs(lon_lat) <= (180 + 1e-9, 90 + 1e-9)).all())


def _partly_farmed(lon_lat):
    return lon_lat[:, 1].max() > _FARMED_LATITUDES[0] and lon_lat[:, 1].min() < _FARMED_LATITUDES[1]


def _wholly_farmed(lon_lat):
    return lon_lat[:, 1].min() > _FARMED_LATITUDES[0] and lon_lat[:, 1].max() < _FARMED_LATITUDES[1]


def _place(lon_lat):
    lon, lat = (lon_lat.min(axis=0) + lon_lat.max(axis=0)) / 2
    return f"{abs(lat):.2f}° {'N' if lat >= 0 else 'S'}, {abs(lon):.2f}° {'E' if lon >= 0 else 'W'}"
