"""An open picture cut into tiles of WebP. With rasterio: only in the process of `child`.

The nearest level is warped from the picture, a row of tiles at a time; each level above is made of the four tiles below.
What has been done is written down piece by piece, so that work that was cut short goes on where it stopped.
"""

import os

import numpy as np
from affine import Affine
from rasterio.enums import ColorInterp, Resampling
from rasterio.io import MemoryFile
from rasterio.vrt import WarpedVRT
from rasterio.windows import Window

from plots.calc.tiles import TILE_PIXELS, corner_m, pixel_m
from plots.pictures.opening import WEB_MERCATOR

TILES_A_PIECE = 16  # beside each other: 4,096 × 256 pixels are read at once
_WARP_MB = 64
_QUALITY = 80  # of WebP; the sight of a photograph, a tenth of PNG's size
_DONE = "done.txt"


def cut(placed, into, progress):
    """Cut all levels.

    Parameters
    ----------
    placed : Placed
    into : Path
        A folder of this picture alone, empty or as this function left it when it was cut short.
    progress : callable
        Called with the number of tiles that are done.

    Returns
    -------
    int
        What all tiles take. [bytes]
    """
    record = _Record(into / _DONE, progress)
    placed.colours.look_at(placed.source)
    for place, (zoom, tiles) in enumerate(placed.levels):
        if place == 0:
            _warp_level(placed, zoom, tiles, into, record)
        else:
            _shrink_level(zoom, tiles, into, record)
    (into / _DONE).unlink()
    return sum(path.stat().st_size for path in into.rglob("*.webp"))


class _Record:
    """Which pieces (zoom, row, first column) are done; a line that a kill cut in two counts for nothing."""

    def __init__(self, path, progress):
        self._path, self._progress, self._tiles = path, progress, 0
        self._done = set(path.read_text("ascii").split("\n")[:-1]) if path.exists() else set()

    def pieces(self, zoom, tiles):
        """(row, first column, columns) of what is not done yet; each counts as done when the next is asked for."""
        left, top, right, bottom = tiles
        for row in range(top, bottom + 1):
            for column in range(left, right + 1, TILES_A_PIECE):
                count, name = min(TILES_A_PIECE, right + 1 - column), f"{zoom} {row} {column}"
                if name not in self._done:
                    yield row, column, count
                    with self._path.open("a", encoding="ascii") as file:
                        file.write(f"{name}\n")
                self._tiles += count
                self._progress(self._tiles)


def _warp_level(placed, zoom, tiles, into, record):
    left, top, right, bottom = tiles
    x, y = corner_m(left, top, zoom)
    side = pixel_m(zoom)
    source, colours = placed.source, placed.colours
    has_alpha = ColorInterp.alpha in source.colorinterp
    options = {
        "src_crs": placed.crs,
        "src_transform": placed.transform,
        "crs": WEB_MERCATOR,
        "transform": Affine(side, 0, x, 0, -side, y),
        "width": (right - left + 1) * TILE_PIXELS,
        "height": (bottom - top + 1) * TILE_PIXELS,
        "resampling": Resampling.bilinear if colours.palette is None else Resampling.nearest,
        "add_alpha": not has_alpha,
        "warp_mem_limit": _WARP_MB,
        "UNIFIED_SRC_NODATA": "YES",  # black in one band alone is a colour
    }
    with WarpedVRT(source, **options) as warped:
        for row, column, count in record.pieces(zoom, tiles):
            window = Window(
                (column - left) * TILE_PIXELS, (row - top) * TILE_PIXELS, count * TILE_PIXELS, TILE_PIXELS
            )
            alpha = warped.dataset_mask(window=window)
            if not alpha.any():
                continue
            data = warped.read(colours.bands, window=window)
            rgb, own_alpha = colours.to_rgb(data)
            if data.dtype.kind == "f":
                alpha = np.where(np.isfinite(data).all(axis=0), alpha, 0)
            alpha = alpha if own_alpha is None else np.minimum(alpha, own_alpha)
            pixels = np.concatenate([rgb, alpha[None].astype(np.uint8)])
            for number in range(count):
                part = pixels[:, :, number * TILE_PIXELS : (number + 1) * TILE_PIXELS]
                _write(into / str(zoom) / str(column + number) / f"{row}.webp", part)


def _shrink_level(zoom, tiles, into, record):
    for row, column, count in record.pieces(zoom, tiles):
        for number in range(column, column + count):
            four = [
                [
                    _read(into / str(zoom + 1) / str(2 * number + right) / f"{2 * row + down}.webp")
                    for right in (0, 1)
                ]
                for down in (0, 1)
            ]
            if any(part is not None for pair in four for part in pair):
                _write(into / str(zoom) / str(number) / f"{row}.webp", _halved(four))


def _halved(four):
    """The mean of each two by two pixels, weighted by how much of each is seen."""
    empty = np.zeros((4, TILE_PIXELS, TILE_PIXELS), np.uint8)
    pixels = np.concatenate(
        [np.concatenate([empty if part is None else part for part in pair], axis=2) for pair in four], axis=1
    ).astype(np.float32)
    alpha = pixels[3:]
    pixels[:3] *= alpha
    halved = pixels.reshape(4, TILE_PIXELS, 2, TILE_PIXELS, 2).sum(axis=(2, 4))
    halved[:3] /= np.maximum(halved[3:], 1)
    halved[3] /= 4
    return np.rint(halved).astype(np.uint8)


def _read(path):
    """(4, 256, 256) of a tile that was written, or None where there is nothing."""
    if not path.exists():
        return None
    with MemoryFile(path.read_bytes()) as held, held.open(driver="WEBP") as tile:
        found = tile.read()
    if len(found) == 3:
        found = np.concatenate([found, np.full((1, TILE_PIXELS, TILE_PIXELS), 255, np.uint8)])
    return found


def _write(path, pixels):
    """Whole or not at all; nothing where nothing is seen."""
    if not pixels[3].any():
        return
    if pixels[3].min() == 255:
        pixels = pixels[:3]
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    profile = {"driver": "WEBP", "width": TILE_PIXELS, "height": TILE_PIXELS, "dtype": "uint8"}
    with MemoryFile() as held:
        with held.open(count=len(pixels), QUALITY=_QUALITY, **profile) as tile:
            tile.write(pixels)
        content = held.read()
    draft = path.with_suffix(".new")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(content)
    draft.replace(path)
