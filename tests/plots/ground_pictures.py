"""Pictures of invented ground, made by rasterio in the test."""

import math
import warnings

import numpy as np
import rasterio
from pyproj import Transformer
from rasterio.crs import CRS
from rasterio.errors import NotGeoreferencedWarning
from rasterio.transform import from_origin

MARK = 9  # pixels, the side of a mark
WIDTH, HEIGHT = 640, 480
UTM_15N, DEGREES, ALBERS = "EPSG:26915", "EPSG:4326", "EPSG:5070"
# Where the first pixel's outer corner lies, near 92° west and 38° north, and the side of a pixel, about 25 cm.
PLACES = {
    UTM_15N: (587_800.0, 4_206_300.0, 0.25),
    DEGREES: (-91.9995, 38.0008, 2.5e-6),
    ALBERS: (350_000.0, 1_680_000.0, 0.25),
}


def marks(width=WIDTH, height=HEIGHT):
    """Middles of the marks, one in each corner and one inside. [pixels from the outer corner]"""
    near = 3 * MARK
    return [
        (near, near),
        (width - near, near),
        (near, height - near),
        (width - near, height - near),
        (width // 2, height // 3),
    ]


def ground(width=WIDTH, height=HEIGHT, dtype="uint8", light=255, dark=40):
    """Dark ground with light marks, shape (height, width)."""
    picture = np.full((height, width), dark, dtype)
    for column, row in marks(width, height):
        half = MARK // 2
        picture[row - half : row + half + 1, column - half : column + half + 1] = light
    return picture


def mark_lon_lat(crs, place=None, width=WIDTH, height=HEIGHT):
    """Longitude and latitude of the marks' middles, by pyproj and not by what is tested."""
    west, north, side = place or PLACES[crs]
    to_degrees = Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    # A mark's middle pixel is (column, row); its own middle lies half a pixel further.
    return [
        to_degrees.transform(west + (c + 0.5) * side, north - (r + 0.5) * side)
        for c, r in marks(width, height)
    ]


def write(path, bands, crs=UTM_15N, driver="GTiff", place=None, **options):
    """A picture of the bands, (count, height, width); without georeference where crs is None."""
    bands = np.asarray(bands)
    placed = {}
    if crs is not None:
        west, north, side = place or PLACES[crs]
        placed = {"crs": CRS.from_user_input(crs), "transform": from_origin(west, north, side, side)}
    colours = {name: options.pop(name) for name in ("colormap", "colorinterp", "mask") if name in options}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        profile = {
            "count": len(bands),
            "height": bands.shape[1],
            "width": bands.shape[2],
            "dtype": bands.dtype,
        }
        with (
            rasterio.Env(GDAL_TIFF_INTERNAL_MASK=True, GDAL_PAM_ENABLED=False),
            rasterio.open(path, "w", driver=driver, **profile, **placed, **options) as picture,
        ):
            if "colorinterp" in colours:
                picture.colorinterp = colours["colorinterp"]
            picture.write(bands)
            if "colormap" in colours:
                picture.write_colormap(1, colours["colormap"])
            if "mask" in colours:
                picture.write_mask(colours["mask"])
    return path


def world_file(crs=UTM_15N):
    """The six lines, of which the last two are the middle of the first pixel."""
    west, north, side = PLACES[crs]
    return "\n".join(map(repr, (side, 0.0, 0.0, -side, west + side / 2, north - side / 2)))


def tile_pixel(lon, lat, zoom):
    """Column and row of a place in pixels of a zoom's whole plane.

    OpenStreetMap wiki, "Slippy map tilenames" (2024): x = n (lon + 180) / 360, y = n (1 − asinh(tan lat) / π) / 2.
    """
    n = 256 * 2**zoom
    return n * (lon + 180) / 360, n * (1 - math.asinh(math.tan(math.radians(lat))) / math.pi) / 2


def read_tile(path):
    """(bands, 256, 256) of a tile that was cut."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        with rasterio.open(path) as tile:
            return tile.read()


def mosaic(folder, zoom):
    """All tiles of a zoom as one picture (4, height, width), and the column and row of its corner in pixels."""
    found = {(int(path.parent.name), int(path.stem)): path for path in (folder / str(zoom)).rglob("*.webp")}
    left, top = min(x for x, _ in found), min(y for _, y in found)
    right, bottom = max(x for x, _ in found), max(y for _, y in found)
    whole = np.zeros((4, 256 * (bottom - top + 1), 256 * (right - left + 1)), np.uint8)
    for (x, y), path in found.items():
        tile, at = read_tile(path), (256 * (y - top), 256 * (x - left))
        part = whole[:, at[0] : at[0] + 256, at[1] : at[1] + 256]
        part[: len(tile)] = tile
        if len(tile) == 3:
            part[3] = 255
    return whole, 256 * left, 256 * top
