"""Planting sheets: for each plot which seed of which lot, in which box, at which setting, in how many fills."""

from blends.queries.sheets.making import sheets
from blends.queries.sheets.shapes import (
    ASSUMED,
    BULK,
    LOT,
    OFFER,
    Depth,
    LastSetting,
    Sheet,
    SheetBox,
    SheetCaution,
    SheetFill,
    SheetInoculant,
    SheetSeed,
)

__all__ = [
    "ASSUMED",
    "BULK",
    "LOT",
    "OFFER",
    "Depth",
    "LastSetting",
    "Sheet",
    "SheetBox",
    "SheetCaution",
    "SheetFill",
    "SheetInoculant",
    "SheetSeed",
    "sheets",
]
