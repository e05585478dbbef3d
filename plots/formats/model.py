"""What reading a boundary file gives: outlines, what was left out, or why the file cannot be used."""

from collections import Counter
from dataclasses import dataclass, field, replace

import shapely
from shapely.geometry import MultiPolygon

from plots.formats.attributes import as_name, clean_text


class UnusableFile(ValueError):
    """The file cannot be used as it is.

    Attributes
    ----------
    sentence : str
        Names the thing, the value and what is accepted; fit to be shown.
    needs : None, 'crs', 'layer' or 'axes'
        What a person could add so that the same file can be read.
    layers : list of str
        The layers to choose from when `needs` is 'layer'.
    extent : None or (west, south, east, north)
        What the coordinates span, in the file's own units, when `needs` is 'crs'.
    """

    def __init__(self, sentence, *, needs=None, layers=(), extent=None):
        self.sentence = " ".join(clean_text(sentence).split())  # one line, whatever of the file it quotes
        super().__init__(self.sentence)
        self.needs = needs
        self.layers = list(layers)
        self.extent = None if extent is None else tuple(map(float, extent))


class NotAnOutline(ValueError):
    """One feature cannot become a plot; the text is the reason, as LeftOut.why."""


@dataclass(frozen=True)
class LeftOut:
    """Something in the file that did not become a plot, such as 'Row 3 (“Pond”)', 'a point, not an outline'."""

    what: str
    why: str


@dataclass(frozen=True)
class Outline:
    """One plot found in the file.

    `name` is unique within the reading, one line, at most 100 characters. `geometry` is a valid 2D
    MultiPolygon in WGS84 longitude and latitude with outer rings counter-clockwise and holes clockwise (RFC
    7946, section 3.1.6). `attributes` hold plain values with text cut at 500 characters. `notes` are
    sentences; `repaired` says that the outline is not quite as it was drawn.
    """

    name: str
    geometry: MultiPolygon
    attributes: dict
    repaired: bool = False
    notes: list = field(default_factory=list)

    @property
    def parts(self):
        return len(self.geometry.geoms)

    @property
    def holes(self):
        return sum(len(part.interiors) for part in self.geometry.geoms)


@dataclass(frozen=True)
class Reading:
    """Everything a file said, in the file's order.

    `crs` is what was used, in words; `layers` are the polygon layers there were to choose from and `layer`
    the one that was read; `name_fields` are attributes that could be the plots' name, best first.
    """

    format: str
    layer: str | None
    layers: list
    crs: str
    outlines: list
    left_out: list
    notes: list
    name_fields: list

    @property
    def bounds(self):
        """West, south, east, north of all outlines. [degrees]"""
        return tuple(shapely.total_bounds([outline.geometry for outline in self.outlines]).tolist())

    def named_by(self, attribute):
        """The same reading with each plot named by another of its attributes; ValueError if there is none."""
        if not any(attribute in outline.attributes for outline in self.outlines):
            raise ValueError(f"no outline has the attribute “{attribute}”; there are {self.name_fields}")
        names = unique_names([outline.attributes.get(attribute) for outline in self.outlines])
        renamed = [replace(outline, name=name) for outline, name in zip(self.outlines, names, strict=True)]
        return replace(self, outlines=renamed)


def unique_names(values):
    """Names from attribute values: 'Plot 3' where the third has none, 'Pond (2)' where 'Pond' comes again."""
    names = [as_name(value) or f"Plot {number}" for number, value in enumerate(values, start=1)]
    taken, seen, unique = set(names), Counter(), []
    for name in names:
        seen[name] += 1
        candidate = name
        if seen[name] > 1:
            while (candidate := f"{name} ({seen[name]})") in taken:
                seen[name] += 1
            taken.add(candidate)
        unique.append(candidate)
    return unique
