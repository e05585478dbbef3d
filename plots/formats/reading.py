"""Reads a boundary file of any kind in this process; `bounded.py` does it in another one, on a leash."""

import tempfile
from pathlib import Path

from plots.formats import crs as systems
from plots.formats.archive import Archive
from plots.formats.assemble import assemble
from plots.formats.attributes import quoted
from plots.formats.limits import MAX_FILE_BYTES
from plots.formats.model import UnusableFile
from plots.formats.sniff import LOOKED_AT, kind_of

_ENDINGS = {
    "GeoJSON": (".geojson", ".json"),
    "GeoJSON lines": (".geojsonl", ".geojsons", ".ndjson", ".jsonl", ".geojson", ".json"),
    "KML": (".kml", ".xml"),
    "KMZ": (".kmz", ".zip"),
    "GPX": (".gpx", ".xml"),
    "Shapefile": (".zip",),
    "GeoPackage": (".gpkg", ".sqlite", ".db"),
    "CSV": (".csv", ".txt", ".tsv", ".wkt"),
}


def read(path, *, filename=None, layer=None, crs=None, swap_axes=False):
    """Read a boundary file in this process. Nothing in the file is trusted.

    Use `read_bounded` for files of strangers: this function bounds what it can count, but not time and
    memory.

    Parameters
    ----------
    path : str or Path
    filename : str, optional
        What the person calls the file, when `path` is a temporary name.
    layer : str, optional
        Which polygon layer, when the file has several.
    crs : str, optional
        'EPSG:26915'; goes before what the file says.
    swap_axes : bool
        The person confirms that the file's coordinates are exchanged.

    Returns
    -------
    Reading
        With at least one outline.

    Raises
    ------
    UnusableFile
    """
    path = Path(path)
    name = filename or path.name
    asked = systems.asked_for(crs) if crs else None
    try:
        if path.stat().st_size > MAX_FILE_BYTES:
            raise UnusableFile(
                f"The file is too large: {path.stat().st_size / 1e6:,.0f} MB; at most {MAX_FILE_BYTES / 1e6:,.0f} MB can be read."
            )
        with tempfile.TemporaryDirectory(prefix="boundaries-") as folder:
            source = _source(path, Path(folder), layer)
    except OSError as error:
        raise UnusableFile(f"{quoted(name)} cannot be read: {error.strerror}.") from None
    except (MemoryError, RecursionError):
        raise UnusableFile("The file asks for more memory than reading a boundary file may take.") from None
    if layer and not source.layers:
        raise UnusableFile(
            f"There is no layer {quoted(layer)}: a {source.format} file has only one; leave the layer out."
        )
    if Path(name).suffix.lower() not in _ENDINGS.get(source.format, ()):
        source.notes.append(f"{quoted(name)} was read as {source.format}, which is what it holds.")
    return assemble(source, crs=asked, swap_axes=swap_axes)


def _source(path, folder, layer, *, inside_archive=False):
    with path.open("rb") as file:
        kind = kind_of(file.read(LOOKED_AT))
    if kind == "zip":
        if inside_archive:
            raise UnusableFile("Archives within archives are not opened.")
        return _from_archive(path, folder, layer)
    if kind == "sqlite":
        from plots.formats import geopackage  # GDAL takes a third of a second to load

        return geopackage.read(path, folder, layer)
    if kind == "xml":
        return _from_xml(path.read_bytes(), "KMZ" if inside_archive else "KML")
    if kind == "json":
        from plots.formats import geojson

        return geojson.read(path.read_bytes())
    from plots.formats import csv_wkt

    return csv_wkt.read(path.read_bytes())


def _from_xml(data, kml_format):
    from plots.formats import gpx, kml, xmlfile

    dialect, nodes = xmlfile.parse(data, [kml.DIALECT, gpx.DIALECT])
    return kml.read(nodes, kml_format) if dialect is kml.DIALECT else gpx.read(nodes)


def _from_archive(path, folder, layer):
    with Archive(path) as archive:
        singles = archive.singles()
        if archive.shapes():
            from plots.formats import shapefile

            source, others = shapefile.read(archive, folder, layer), singles
        elif singles:
            unpacked = archive.unpack(singles[0], folder / "single")
            if unpacked.stat().st_size > MAX_FILE_BYTES:
                raise UnusableFile(
                    f"{quoted(singles[0].filename)} in the archive is too large; "
                    f"at most {MAX_FILE_BYTES / 1e6:,.0f} MB can be read."
                )
            source, others = _source(unpacked, folder, layer, inside_archive=True), singles[1:]
        else:
            raise UnusableFile(f"The archive holds no boundary file: {archive.contents()}.")
    for entry in others:
        source.leave_out(f"File {quoted(entry.filename)}", "another file in the archive, not read")
    return source
