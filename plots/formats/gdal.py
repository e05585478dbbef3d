"""The one door to GDAL: a file of our own naming, in our own folder, one vetted layer, nothing fetched."""

import warnings

import numpy as np
import pyogrio
import pyogrio.raw
import shapely
from pyogrio.errors import DataLayerError, DataSourceError

from plots.formats.limits import MAX_FEATURES
from plots.formats.model import UnusableFile

pyogrio.set_gdal_config_options(
    {
        "SHAPE_RESTORE_SHX": "YES",
        "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".none",
        "GDAL_HTTP_MAX_RETRY": "0",
        "GDAL_VRT_ENABLE_PYTHON": "NO",
        "OGR_SQLITE_LOAD_EXTENSIONS": None,
    }
)

_DAMAGE = (
    *(DataSourceError, DataLayerError, UnicodeError, shapely.GEOSException),
    UnboundLocalError,  # pyogrio 0.13, where GDAL cannot write out the coordinate system
)
_NOT_CLOSED = "The ring was not closed; it is now."


def rows(path, *, driver, layer=None, encoding=None):
    """The features of one layer.

    Parameters
    ----------
    path : Path
        An ordinary file whose content was checked.
    driver : str
        The driver that has to be the one to open it.

    Returns
    -------
    crs : str or None
        An EPSG code or WKT.
    features : list of (int, shapely geometry or None, dict, list of str)
        Feature id, geometry in the file's coordinates, attributes, and notes about the geometry.

    Raises
    ------
    UnusableFile
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # open rings are told below; letters that cannot be read are seen
            meta, fids, wkb, columns = _read(path, driver, layer, encoding)
        geometries = _geometries(wkb)
    except _DAMAGE:
        raise UnusableFile("The file is damaged and cannot be read.") from None  # GDAL names our folders
    names = [str(name) for name in meta["fields"]]
    features = []
    for position, (fid, (geometry, notes)) in enumerate(zip(fids.tolist(), geometries, strict=True)):
        attributes = {name: column[position] for name, column in zip(names, columns, strict=True)}
        features.append((fid, geometry, attributes, notes))
    return meta["crs"], features


def _read(path, driver, layer, encoding):
    info = pyogrio.read_info(path, layer=layer, encoding=encoding)
    if info["driver"] != driver:
        raise UnusableFile(f"The file is not what it seems: it was taken for {info['driver']}, not {driver}.")
    return pyogrio.raw.read(
        path,
        layer=layer,
        encoding=encoding,
        force_2d=True,
        max_features=MAX_FEATURES + 1,
        return_fids=True,
        datetime_as_string=True,
    )


def _geometries(wkb):
    """(geometry or None, notes) of each; a ring that the file leaves open is closed and said."""
    geometries = shapely.from_wkb(wkb, on_invalid="ignore")
    open_rings = np.flatnonzero(
        shapely.is_missing(geometries) & np.array([blob is not None for blob in wkb], dtype=bool)
    )
    geometries[open_rings] = shapely.from_wkb(wkb[open_rings], on_invalid="fix")
    return [
        (geometry, [_NOT_CLOSED] if number in open_rings else [])
        for number, geometry in enumerate(geometries)
    ]
