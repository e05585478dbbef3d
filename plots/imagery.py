"""Imagery that anybody may use, to be taken over by one press."""

from dataclasses import dataclass

from plots.models import Property


@dataclass(frozen=True)
class Example:
    """`about` says what it shows, where, and on what terms, as they were read in `read_in`."""

    key: str
    name: str
    kind: str
    address: str
    credit: str
    zoom: int
    about: str
    read_in: str


EXAMPLES = [
    Example(
        key="usgs-imagery",
        name="U.S. Geological Survey, The National Map: imagery",
        kind=Property.Imagery.XYZ,
        address="https://basemap.nationalmap.gov/arcgis/rest/services/USGSImageryOnly/MapServer/tile/{z}/{y}/{x}",
        # The words that The National Map asks for; its data are in the public domain (USGS, Copyrights and Credits).
        credit="Map services and data available from U.S. Geological Survey, National Geospatial Program.",
        zoom=16,
        about="Aerial photographs of the United States, in the public domain; the credit is asked for, not required. "
        "Nearest zoom 16: a pixel is about 6 feet. The photographs may be some years old.",
        read_in="November 2026",
    ),
]
