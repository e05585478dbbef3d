"""fiboa 0.3.0, the open standard for field boundaries, as GeoJSON and as GeoParquet.

The standard has its own names and units (`metrics:area` in m², `metrics:perimeter` in m) and lets others stand beside
them, so the attributes of the other formats are here too.
"""

import io
import json
from datetime import date

import shapely

from plots.formats.write import geojson
from plots.formats.write.rows import COLUMNS

SCHEMAS = [
    "https://vecorel.org/specification/v0.1.0/schema.yaml",
    "https://fiboa.org/specification/v0.3.0/schema.yaml",
]
# The standard's methods: manual is by hand on a map, driven is round the edge with a receiver, on foot too. How the
# outlines of a file were made is not known, and one that was split, merged or trimmed keeps edges made in several ways;
# `determination:details` says where a boundary comes from.
_METHODS = {"drawn": "manual", "walked": "driven", "imported": "unknown", "reshaped": "unknown"}
_GEOPARQUET = "1.1.0"


def write_geojson(selection):
    features = [
        geojson.feature(plot, str(plot.plot_id), {"collection": selection.slug} | _known(plot))
        for plot in selection.plots
    ]
    document = {"type": "FeatureCollection", "schemas": {selection.slug: SCHEMAS}, "features": features}
    return geojson.text(document)


def write_geoparquet(selection):
    """GeoParquet 1.1 with WKB; without `crs`, which means longitude and latitude on WGS84."""
    import pyarrow as pa  # a tenth of a second to load, for one format of nine
    from pyarrow import parquet

    outlines = [plot.outline for plot in selection.plots]
    rows = [
        {"id": str(plot.plot_id), "collection": selection.slug, "geometry": shapely.to_wkb(outline)}
        | _fiboa(plot)
        | plot.attributes
        for plot, outline in zip(selection.plots, outlines, strict=True)
    ]
    geometry = {
        "encoding": "WKB",
        "geometry_types": ["MultiPolygon"],
        "orientation": "counterclockwise",
        "bbox": shapely.total_bounds(outlines).tolist(),
    }
    geo = {"version": _GEOPARQUET, "primary_column": "geometry", "columns": {"geometry": geometry}}
    metadata = {"geo": json.dumps(geo), "collection": json.dumps({"schemas": {selection.slug: SCHEMAS}})}
    file = io.BytesIO()
    parquet.write_table(pa.Table.from_pylist(rows, _schema(pa, metadata)), file)
    return file.getvalue()


def _schema(pa, metadata):
    types = {int: pa.int64(), float: pa.float64(), date: pa.date32(), str: pa.string()}
    return pa.schema(
        [
            pa.field("id", pa.string(), nullable=False),
            pa.field("collection", pa.string(), nullable=False),
            pa.field("geometry", pa.binary(), nullable=False),
            pa.field("metrics:area", pa.float32()),
            pa.field("metrics:perimeter", pa.float32()),
            pa.field("determination:method", pa.string()),
            pa.field("determination:datetime", pa.timestamp("ms", tz="UTC")),
            pa.field("determination:details", pa.string()),
            *(pa.field(column.name, types[column.kind]) for column in COLUMNS),
        ],
        metadata=metadata,
    )


def _known(plot):
    """What of a plot is known, as JSON says it: the standard's values may be missing but not null."""
    values = _fiboa(plot)
    when = values["determination:datetime"]
    values["determination:datetime"] = when and when.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return {key: value for key, value in values.items() if value is not None} | plot.attributes


def _fiboa(plot):
    return {
        "metrics:area": plot.area_m2 or None,  # the standard takes only what is above 0
        "metrics:perimeter": plot.perimeter_m or None,
        "determination:method": _METHODS.get(plot.boundary_how),
        "determination:datetime": plot.boundary_at_utc,
        "determination:details": plot.boundary_told,
    }
