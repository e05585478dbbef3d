"""A picture opened, and where it lies. With rasterio: only in the process of `child`."""

import math
import warnings
from contextlib import contextmanager

import numpy as np
import rasterio
from affine import Affine
from rasterio._err import CPLE_BaseError  # what GDAL says passes through some calls of rasterio as it is
from rasterio.crs import CRS
from rasterio.errors import CRSError, NotGeoreferencedWarning, RasterioError
from rasterio.warp import transform as transform_points
from rasterio.windows import Window

from plots.calc.tiles import FARTHEST_LATITUDE, HALF_WORLD_M, RADIUS_M, count_of, levels, zoom_for
from plots.pictures.colours import colours_of
from plots.pictures.limits import (
    MAX_BANDS,
    MAX_BLOCK_BYTES,
    MAX_PIXELS,
    MAX_PLAIN_PIXELS,
    MAX_TILES,
)
from plots.pictures.model import UnusablePicture, world_file_numbers

WEB_MERCATOR = CRS.from_epsg(3857)

_BEGINS = [
    *((begin, "GTiff", "GeoTIFF") for begin in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")),
    (b"\x89PNG\r\n\x1a\n", "PNG", "PNG"),
    (b"\xff\xd8\xff", "JPEG", "JPEG"),
]
_BOUNDS_OF_GDAL = {
    "GDAL_CACHEMAX": 192,  # MB
    "GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR",  # no file beside it is looked at
    "GDAL_PAM_ENABLED": "NO",
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".none",
    "GDAL_HTTP_MAX_RETRY": "0",
    "GDAL_VRT_ENABLE_PYTHON": "NO",
    "GDAL_ERROR_ON_LIBJPEG_WARNING": "TRUE",  # a JPEG that was cut off would end in grey
    "GTIFF_IGNORE_READ_ERRORS": "NO",
    "PROJ_NETWORK": "OFF",
}
_ALONG_AN_EDGE = 21


class Placed:
    """An open picture with `source`, `transform`, `crs`, `colours`, `bounds_m` in EPSG:3857, and its `levels`."""

    def __init__(self, source, name, world_file, crs):
        self.source, self.format = source, name
        self.notes = []
        self.colours = colours_of(source, self.notes)
        _check_size(source, name)
        self.transform = _transform_of(source, name, world_file)
        self.crs = _crs_of(source, crs, self._extent())
        self.bounds_m = self._bounds_m()
        west, south, east, north = self.bounds_m
        self.latitude = math.degrees(math.atan(math.sinh((south + north) / 2 / RADIUS_M)))
        self.ground_pixel_m = self._plane_pixel_m() * math.cos(math.radians(self.latitude))
        self.levels = self._levels()
        _check_ends(source)

    def facts(self):
        """What the site keeps of it; plain values."""
        west, south, east, north = self.bounds_m
        degrees = [
            math.degrees(west / RADIUS_M),
            _latitude(south),
            math.degrees(east / RADIUS_M),
            _latitude(north),
        ]
        return {
            "format": self.format,
            "width": self.source.width,
            "height": self.source.height,
            "bands": self.source.count,
            "colours": self.colours.words,
            "crs": _words(self.crs),
            "bounds": degrees,
            "ground_pixel_m": self.ground_pixel_m,
            "min_zoom": self.levels[-1][0],
            "max_zoom": self.levels[0][0],
            "tiles": sum(count_of(tiles) for _, tiles in self.levels),
            "notes": self.notes,
        }

    def _edges(self):
        """Columns and rows along the four edges: a straight edge may be bent in another projection."""
        width, height = self.source.width, self.source.height
        along, zero, one = (
            np.linspace(0, 1, _ALONG_AN_EDGE),
            np.zeros(_ALONG_AN_EDGE),
            np.ones(_ALONG_AN_EDGE),
        )
        columns = np.concatenate([along, along, zero, one]) * width
        rows = np.concatenate([zero, one, along, along]) * height
        return self._to_map(columns, rows)

    def _to_map(self, columns, rows):
        to = self.transform
        return to.a * columns + to.b * rows + to.c, to.d * columns + to.e * rows + to.f

    def _extent(self):
        x, y = self._edges()
        return [float(each) for each in (x.min(), y.min(), x.max(), y.max())]

    def _bounds_m(self):
        x, y = self._edges()
        try:
            east, north = map(np.array, transform_points(self.crs, WEB_MERCATOR, x.tolist(), y.tolist()))
        except (RasterioError, CRSError, CPLE_BaseError):
            east = north = np.array([math.inf])
        if not (np.isfinite(east).all() and np.isfinite(north).all()) or max(
            abs(east).max(), abs(north).max()
        ) > HALF_WORLD_M * (1 + 1e-9):
            raise UnusablePicture(
                f"The picture does not fit {_words(self.crs)}: parts of it would lie nowhere, or beyond "
                f"{FARTHEST_LATITUDE:.0f}° of latitude. Give the coordinate system that it is in.",
                needs="crs",
                extent=self._extent(),
            )
        bounds = east.min(), north.min(), east.max(), north.max()
        if bounds[2] - bounds[0] > HALF_WORLD_M:
            raise UnusablePicture(
                "The picture spans half the earth; one of a property and its surroundings is accepted."
            )
        return tuple(float(each) for each in bounds)

    def _plane_pixel_m(self):
        """Side of a square as large as the picture's middle pixel, in the plane of EPSG:3857."""
        column, row = self.source.width / 2, self.source.height / 2
        corners = self._to_map(np.array([column, column + 1, column]), np.array([row, row, row + 1]))
        x, y = transform_points(self.crs, WEB_MERCATOR, *(each.tolist() for each in corners))
        area = abs((x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]))
        if not area > 0:
            raise UnusablePicture(
                "The picture's pixels have no size on the ground.", needs="crs", extent=self._extent()
            )
        return math.sqrt(area)

    def _levels(self):
        nearest = zoom_for(self.ground_pixel_m, self.latitude)
        while True:
            found = levels(self.bounds_m, nearest)
            if sum(count_of(tiles) for _, tiles in found) <= MAX_TILES or nearest == 0:
                return found
            nearest -= 1
            self.notes[:] = [each for each in self.notes if "coarser" not in each]
            self.notes.append(
                f"It is cut coarser than it is, since finer it would be more than {MAX_TILES:,} tiles."
            )


@contextmanager
def opened(path, world_file="", crs=""):
    """The Placed of a file, open while the context lasts.

    Parameters
    ----------
    path : Path
        In a folder of ours, under a name of ours.
    world_file : str
        The text of one, where the picture does not say itself where it lies.
    crs : str
        'EPSG:n'; goes before what the file says.

    Raises
    ------
    UnusablePicture
    """
    driver, name = _kind(path)
    try:
        with rasterio.Env(**_BOUNDS_OF_GDAL), warnings.catch_warnings():
            warnings.simplefilter("ignore", NotGeoreferencedWarning)
            with rasterio.open(path, driver=driver, sharing=False) as source:
                yield Placed(source, name, world_file, crs)
    except (RasterioError, CPLE_BaseError, MemoryError) as error:
        raise UnusablePicture(
            f"The {name} is damaged or cut short, or made in an unusual way: it cannot be read to its end. "
            "Save it again as a GeoTIFF."
        ) from error


def _kind(path):
    with path.open("rb") as file:
        begin = file.read(64)
    for magic, driver, name in _BEGINS:
        if begin.startswith(magic):
            return driver, name
    if not begin:
        raise UnusablePicture("The file is empty.")
    if begin.startswith(b"PK"):
        raise UnusablePicture("The file is a zip archive; unpack it and give the picture that is in it.")
    raise UnusablePicture(
        "The file is neither GeoTIFF nor PNG nor JPEG; a picture in one of these is accepted."
    )


def _check_size(source, name):
    pixels, most = source.width * source.height, MAX_PIXELS if name == "GeoTIFF" else MAX_PLAIN_PIXELS
    if pixels > most:
        raise UnusablePicture(
            f"The {name} has {source.width:,} × {source.height:,} = {pixels / 1e6:,.0f} million pixels; at most "
            f"{most / 1e6:,.0f} million are accepted."
        )
    if source.count > MAX_BANDS:
        raise UnusablePicture(f"The {name} has {source.count} bands; at most {MAX_BANDS} are accepted.")
    rows, columns = source.block_shapes[0]
    block_bytes = rows * columns * source.count * np.dtype(source.dtypes[0]).itemsize
    if block_bytes > MAX_BLOCK_BYTES:
        raise UnusablePicture(
            f"The {name} is stored in pieces of {block_bytes / 1e6:,.0f} MB; pieces of at most "
            f"{MAX_BLOCK_BYTES / 1e6:,.0f} MB are accepted. Save it again in tiles."
        )


def _transform_of(source, name, world_file):
    if source.transform != Affine.identity():
        return source.transform
    if world_file:
        try:
            return Affine(*world_file_numbers(world_file))
        except ValueError as error:
            raise UnusablePicture(str(error), needs="world") from error
    if source.gcps[0]:
        raise UnusablePicture(
            f"The {name} is placed by {len(source.gcps[0])} control points; one that is rectified is accepted: "
            "save it again in a map projection."
        )
    raise UnusablePicture(
        f"The {name} does not say where it lies. Give its world file: a small text file beside it, such as .tfw, .pgw, "
        ".jgw or .wld, with six lines of numbers.",
        needs="world",
    )


def _crs_of(source, asked, extent):
    try:
        crs = CRS.from_user_input(asked) if asked else source.crs
    except CRSError as error:
        raise UnusablePicture(
            f"{asked} is not known here; give another number.", needs="crs", extent=extent
        ) from error
    if not crs or not (crs.is_projected or crs.is_geographic):
        raise UnusablePicture(
            "The picture does not say in which coordinate system it lies.", needs="crs", extent=extent
        )
    return crs


def _check_ends(source):
    """Read a little at the four corners, so that a file that was cut short is known at once."""
    side = min(16, source.width, source.height)
    for column in (0, source.width - side):
        for row in (0, source.height - side):
            source.read(1, window=Window(column, row, side, side))


def _latitude(north_m):
    return math.degrees(math.atan(math.sinh(north_m / RADIUS_M)))


def _words(crs):
    code = crs.to_epsg()
    return f"EPSG:{code}" if code else "the coordinate system of the file"
