"""Boundary files out: plain rows in, the bytes of a file out, the same bytes for the same rows."""

from plots.formats.write.files import KINDS, FileKind
from plots.formats.write.rows import ExportedPlot, Selection

__all__ = ["KINDS", "ExportedPlot", "FileKind", "Selection"]
