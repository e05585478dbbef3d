"""Zip archives of strangers: what is in them that can be read, and nothing written but that, under our names."""

import shutil
import stat
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import PurePosixPath

from plots.formats.attributes import quoted
from plots.formats.limits import MAX_ENTRIES, MAX_UNPACKED_BYTES
from plots.formats.model import UnusableFile
from plots.formats.source import counted

_DAMAGED = "The archive is damaged: it cannot be unpacked."
_DAMAGE = (
    *(zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError),
    *(NotImplementedError, RuntimeError),  # what zipfile says of versions and flags that it does not know
)
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # the others may ask for gigabytes to unpack
_SIDE_FILES = (".dbf", ".prj", ".cpg")  # the index (.shx) is rebuilt: a wrong one would mislead the reader
_SINGLE = (".kml", ".geojson", ".json", ".geojsonl", ".gpx", ".gpkg", ".csv")


@dataclass(frozen=True)
class Shape:
    """A shapefile in an archive: its name without ending, and its members by ending."""

    name: str
    members: dict


class Archive:
    """An open archive that was looked through and found harmless."""

    def __init__(self, path):
        try:
            self._zip = zipfile.ZipFile(path)
            self._entries = self._zip.infolist()
        except _DAMAGE:
            raise UnusableFile(_DAMAGED) from None
        try:
            self._check()
        except UnusableFile:
            self.close()
            raise

    def __enter__(self):
        return self

    def __exit__(self, *error):
        self.close()

    def close(self):
        self._zip.close()

    def shapes(self):
        """The shapefiles in it, in order."""
        by_stem = {}
        for entry in self._files():
            path = _path(entry)
            by_stem.setdefault(str(path.with_suffix("")).casefold(), {}).setdefault(
                path.suffix.lower(), entry
            )
        groups = [(stem, members) for stem, members in by_stem.items() if ".shp" in members]
        stems = [_path(members[".shp"]).stem for _, members in groups]
        shapes = []
        for (_, members), stem in zip(groups, stems, strict=True):
            whole = str(_path(members[".shp"]).with_suffix(""))
            shapes.append(Shape(stem if stems.count(stem) == 1 else whole, members))
        return shapes

    def singles(self):
        """Members that are boundary files of their own, a root `doc.kml` first, as KMZ has it."""
        entries = [entry for entry in self._files() if _path(entry).suffix.lower() in _SINGLE]
        return sorted(entries, key=lambda entry: entry.filename.lower() != "doc.kml")

    def unpack_shape(self, shape, folder):
        """Write a shapefile's members as `layer.shp` and so on; gives the path of the first."""
        for suffix in (".shp", *_SIDE_FILES):
            if suffix in shape.members:
                self.unpack(shape.members[suffix], folder / f"layer{suffix}")
        return folder / "layer.shp"

    def unpack(self, entry, target):
        """Write one member to a path of ours. `zipfile` gives no more than the size that was checked."""
        if entry.compress_type not in _METHODS:
            raise UnusableFile("The archive is packed by a method that is not read; use an ordinary zip.")
        try:
            with self._zip.open(entry) as packed, target.open("wb") as unpacked:
                shutil.copyfileobj(packed, unpacked)
        except _DAMAGE:
            raise UnusableFile(_DAMAGED) from None
        return target

    def contents(self):
        """What is in it instead, for a refusal."""
        files = self._files()
        if not files:
            return "it is empty"
        if any(part.lower().endswith(".gdb") for entry in files for part in _path(entry).parts):
            return "it holds a file geodatabase; save the layer as GeoPackage or Shapefile"
        nested = sum(_path(entry).suffix.lower() in (".zip", ".kmz") for entry in files)
        if nested:
            return f"it holds {counted(nested, 'other archive')}; archives within archives are not opened"
        names = ", ".join(quoted(_path(entry).name, 30) for entry in files[:3])
        return f"it holds {counted(len(files), 'other file')}, such as {names}"

    def _check(self):
        if len(self._entries) > MAX_ENTRIES:
            raise UnusableFile(
                f"The archive holds {len(self._entries):,} entries; at most {MAX_ENTRIES:,} are read."
            )
        for entry in self._entries:
            path = _path(entry)
            if ".." in path.parts or path.is_absolute() or ":" in entry.filename[:3]:
                raise UnusableFile(
                    f"The archive holds a name that leads out of its folder, {quoted(entry.filename)}; it is not opened."
                )
            if stat.S_ISLNK(entry.external_attr >> 16):
                raise UnusableFile(
                    f"The archive holds a link, {quoted(entry.filename)}, instead of a file; it is not opened."
                )
            if entry.flag_bits & 0x1:
                raise UnusableFile("The archive is password-protected; save it without a password.")
        unpacked = sum(entry.file_size for entry in self._files())
        if unpacked > MAX_UNPACKED_BYTES:
            raise UnusableFile(
                f"The archive is too large when unpacked: {unpacked / 1e6:,.0f} MB; "
                f"at most {MAX_UNPACKED_BYTES / 1e6:,.0f} MB."
            )

    def _files(self):
        """Members without folders and without what file managers leave behind."""
        return [
            entry
            for entry in self._entries
            if not entry.is_dir()
            and _path(entry).name
            and not _path(entry).name.startswith(".")
            and "__MACOSX" not in _path(entry).parts
        ]


def _path(entry):
    return PurePosixPath(entry.filename.replace("\\", "/"))
