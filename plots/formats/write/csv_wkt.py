"""CSV (RFC 4180) with the outline as WKT in the last column."""

import csv
import io

from config.spreadsheets import defused
from plots.formats.write.rows import COLUMNS, degrees_text, ring_positions


def write(selection):
    """UTF-8 with a byte order mark: spreadsheet programs take a file without one for their local code page."""
    text = io.StringIO(newline="")
    # Quoted, since some programs take more than CR and LF for the end of a line.
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([*(column.name for column in COLUMNS), "wkt"])
    for plot in selection.plots:
        writer.writerow([*map(defused, plot.attributes.values()), _wkt(plot.outline)])
    return text.getvalue().encode("utf-8-sig")


def _wkt(outline):
    """Well-known text with every digit; shapely's own stops at sixteen decimals."""
    parts = ", ".join(f"({', '.join(map(_ring, ring_positions(part)))})" for part in outline.geoms)
    return f"MULTIPOLYGON ({parts})"


def _ring(positions):
    return f"({', '.join(' '.join(map(degrees_text, position)) for position in positions)})"
