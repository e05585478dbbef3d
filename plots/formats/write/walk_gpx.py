"""A walk as GPX 1.1: every point as it came, a segment a stretch, with its time and accuracy."""

from datetime import timedelta

from plots.formats.write.rows import degrees_text
from plots.formats.write.xml import element

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="Swardbook" '
    'xmlns="http://www.topografix.com/GPX/1/1" xmlns:walk="urn:swardbook:walk">\n'
)


def write_walk(name, started_at, fixes):
    """The file's bytes.

    Parameters
    ----------
    name : str
    started_at : datetime
        In UTC.
    fixes : list of [longitude, latitude, accuracy in m, milliseconds since the start, stretch]
    """
    text, stretch = [], None
    for lon, lat, accuracy_m, at_ms, part in fixes:
        if part != stretch:
            text.append("</trkseg>\n<trkseg>\n" if stretch is not None else "<trkseg>\n")
            stretch = part
        at = (started_at + timedelta(milliseconds=at_ms)).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3]
        text.append(
            f'<trkpt lat="{degrees_text(lat)}" lon="{degrees_text(lon)}"><time>{at}Z</time>'
            f"<extensions><walk:accuracy_m>{accuracy_m!r}</walk:accuracy_m></extensions></trkpt>\n"
        )
    return f"{_HEAD}<trk>\n{element('name', name)}{''.join(text)}</trkseg>\n</trk>\n</gpx>\n".encode()
