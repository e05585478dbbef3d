"""GPX 1.1: a track a plot, a segment a part. A track has no holes; its description says that they are missing."""

from plots.formats.write.rows import degrees_text, ring_positions
from plots.formats.write.xml import element

_NAMESPACE = "urn:swardbook:plots"  # the schema asks for one of its own in `extensions`
_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="Swardbook" '
    f'xmlns="http://www.topografix.com/GPX/1/1" xmlns:plots="{_NAMESPACE}">\n'
)


def write(selection):
    """Elements stand in the order that the schema asks for."""
    tracks = "".join(map(_track, selection.plots))
    metadata = f"<metadata>\n{element('name', selection.title)}</metadata>\n"
    return f"{_HEAD}{metadata}{tracks}</gpx>\n".encode()


def _track(plot):
    known = {key: value for key, value in plot.attributes.items() if key != "name" and value is not None}
    extensions = "".join(element(f"plots:{key}", value) for key, value in known.items())
    parts = plot.outline.geoms
    segments = "".join(_segment(ring_positions(part)[0]) for part in parts)
    return (
        f"<trk>\n{element('name', plot.name)}{element('desc', _holes_told(parts))}"
        f"<extensions>\n{extensions}</extensions>\n{segments}</trk>\n"
    )


def _holes_told(parts):
    count = sum(len(part.interiors) for part in parts)
    if not count:
        return None
    holes, are = ("1 hole", "is") if count == 1 else (f"{count} holes", "are")
    return (
        f"{holes} in this plot {are} not in the track, since a track has none; acres_mapped leaves them out."
    )


def _segment(positions):
    points = "".join(
        f'<trkpt lat="{degrees_text(latitude)}" lon="{degrees_text(longitude)}"/>\n'
        for longitude, latitude in positions
    )
    return f"<trkseg>\n{points}</trkseg>\n"
