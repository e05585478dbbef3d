"""Boundary files in: outlines of plots in WGS84, with a report of what was repaired and what was left out."""

from plots.formats.bounded import read_bounded
from plots.formats.model import LeftOut, Outline, Reading, UnusableFile
from plots.formats.reading import read

__all__ = ["LeftOut", "Outline", "Reading", "UnusableFile", "read", "read_bounded"]
