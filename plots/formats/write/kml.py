"""KML 2.2: a placemark a plot, its attributes as ExtendedData, so that any globe shows them."""

from plots.formats.write.rows import degrees_text, ring_positions
from plots.formats.write.xml import element, xml_text

_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2">\n<Document>\n'


def write(selection):
    """Elements stand in the order that the schema of OGC 07-147r2 asks for."""
    placemarks = "".join(map(_placemark, selection.plots))
    return f"{_HEAD}{element('name', selection.title)}{placemarks}</Document>\n</kml>\n".encode()


def _placemark(plot):
    known = {key: value for key, value in plot.attributes.items() if key != "name" and value is not None}
    data = "".join(
        f'<Data name="{key}"><value>{xml_text(value)}</value></Data>\n' for key, value in known.items()
    )
    parts = "".join(map(_polygon, plot.outline.geoms))
    return (
        f"<Placemark>\n{element('name', plot.name)}{element('description', plot.notes)}"
        f"<ExtendedData>\n{data}</ExtendedData>\n<MultiGeometry>\n{parts}</MultiGeometry>\n</Placemark>\n"
    )


def _polygon(polygon):
    outer, *holes = ring_positions(polygon)
    inner = "".join(f"<innerBoundaryIs>{_ring(hole)}</innerBoundaryIs>\n" for hole in holes)
    return f"<Polygon>\n<outerBoundaryIs>{_ring(outer)}</outerBoundaryIs>\n{inner}</Polygon>\n"


def _ring(positions):
    # Blanks part positions, so there is none within one.
    text = " ".join(",".join(map(degrees_text, position)) for position in positions)
    return f"<LinearRing><coordinates>{text}</coordinates></LinearRing>"
