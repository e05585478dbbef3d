"""BoundaryField and ShapeField: shapely geometry in the database, without GDAL and without SpatiaLite.

On PostGIS the column is `geometry(MultiPolygon, 4326)`, or `geometry(Geometry, 4326)`; that of the boundaries has a
GiST index (made by a migration). On SQLite it is WKB. The lookups `intersects`, `covers` and `bbox` compile to the same SQL function
names on both: on SQLite each connection registers them and they call shapely. The model that holds
the field also has the indexed columns `west`, `south`, `east` and `north`, which the field fills,
so that SQLite looks at few rows before it calls shapely.
"""

import shapely
from django.core.exceptions import ValidationError
from django.db import models
from django.db.backends.signals import connection_created
from django.db.models import Func
from django.db.models.expressions import Col
from django.db.models.lookups import Lookup
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

WGS84 = 4326
EXTENT_COLUMNS = ("west", "south", "east", "north")


class ShapeField(models.Field):
    """Holds a shapely point, line or polygon, one or many, in longitude and latitude on WGS84."""

    description = "Shape (WGS84)"
    _postgis_type = "Geometry"

    def db_type(self, connection):
        on_postgis = f"geometry({self._postgis_type},{WGS84})"
        return on_postgis if connection.vendor == "postgresql" else "blob"

    def from_db_value(self, value, expression, connection):
        return self.to_python(value)

    def to_python(self, value):
        if value is None or isinstance(value, BaseGeometry):
            return value
        if isinstance(value, (bytes, memoryview)):
            return shapely.from_wkb(bytes(value))
        if isinstance(value, str):
            # PostGIS answers in hexadecimal, which GEOS takes five times as long to read
            return shapely.from_wkb(bytes.fromhex(value))
        raise ValidationError(f"A shape is {type(value).__name__}; a shapely geometry is accepted.")

    def get_prep_value(self, value):
        value = super().get_prep_value(value)
        return value if value is None or isinstance(value, BaseGeometry) else self.to_python(value)

    def get_db_prep_value(self, value, connection, prepared=False):
        if value is None:
            return None
        if connection.vendor == "postgresql":
            return shapely.to_wkb(shapely.set_srid(value, WGS84), hex=True, include_srid=True)
        return shapely.to_wkb(value)

    def pre_save(self, model_instance, add):
        geometry = self.to_python(super().pre_save(model_instance, add))
        setattr(model_instance, self.attname, geometry)
        bounds = (None,) * 4 if geometry is None or geometry.is_empty else geometry.bounds
        for column, bound in zip(EXTENT_COLUMNS, bounds, strict=True):
            setattr(model_instance, column, bound)
        return geometry

    def value_to_string(self, obj):
        geometry = self.value_from_object(obj)
        return "" if geometry is None else shapely.to_wkb(geometry, hex=True)


class BoundaryField(ShapeField):
    """Holds a shapely MultiPolygon; a Polygon becomes one of a single part."""

    description = "Boundary (MultiPolygon, WGS84)"
    _postgis_type = "MultiPolygon"

    def to_python(self, value):
        shape = super().to_python(value)
        if shape is None or isinstance(shape, MultiPolygon):
            return shape
        if isinstance(shape, Polygon):
            return MultiPolygon([shape])
        raise ValidationError(f"A boundary is a {shape.geom_type}; a polygon or multipolygon is accepted.")


class _ExtentLookup(Lookup):
    """Shared by the lookups: on SQLite, compare the extent columns first."""

    function = None

    def get_prep_lookup(self):
        return self.rhs

    def get_db_prep_lookup(self, value, connection):
        return "%s", [value]

    def _extent(self):
        return self.rhs.bounds

    def as_sqlite(self, compiler, connection):
        if not isinstance(self.lhs, Col):  # worked out, so that no columns hold its extent
            return self.as_sql(compiler, connection)
        alias = compiler.quote_name_unless_alias(self.lhs.alias)
        west, south, east, north = self._extent()
        sql = f"{alias}.west <= %s AND {alias}.east >= %s AND {alias}.south <= %s AND {alias}.north >= %s"
        params = [east, west, north, south]
        if self.function:
            lhs, lhs_params = self.process_lhs(compiler, connection)
            sql += f" AND {self.function}({lhs}, ST_GeomFromWKB(%s, {WGS84}))"
            params += [*lhs_params, shapely.to_wkb(self.rhs)]
        return f"({sql})", params

    def as_sql(self, compiler, connection):
        lhs, lhs_params = self.process_lhs(compiler, connection)
        sql = f"{self.function}({lhs}, ST_GeomFromWKB(%s, {WGS84}))"
        return sql, [*lhs_params, shapely.to_wkb(self.rhs)]


@ShapeField.register_lookup
class Intersects(_ExtentLookup):
    """`boundary__intersects=geometry`: any ground in common, an edge included."""

    lookup_name = "intersects"
    function = "ST_Intersects"


@ShapeField.register_lookup
class Covers(_ExtentLookup):
    """`boundary__covers=geometry`: no point of the geometry lies outside."""

    lookup_name = "covers"
    function = "ST_Covers"


@ShapeField.register_lookup
class Bbox(_ExtentLookup):
    """`boundary__bbox=(west, south, east, north)`: extents that meet."""

    lookup_name = "bbox"

    def _extent(self):
        return self.rhs

    def as_sql(self, compiler, connection):
        lhs, lhs_params = self.process_lhs(compiler, connection)
        return f"{lhs} && ST_MakeEnvelope(%s, %s, %s, %s, {WGS84})", [*lhs_params, *self.rhs]


class PointOnSurface(Func):
    """A point that lies inside the shape."""

    function = "ST_PointOnSurface"
    arity = 1
    output_field = ShapeField()


def _register_on_sqlite(sender, connection, **kwargs):
    if connection.vendor != "sqlite":
        return

    def on_wkb(predicate):
        return lambda a, b: (
            None if a is None or b is None else predicate(shapely.from_wkb(a), shapely.from_wkb(b))
        )

    database = connection.connection
    database.create_function("ST_GeomFromWKB", 2, lambda wkb, srid: wkb, deterministic=True)
    database.create_function(
        "ST_Intersects", 2, on_wkb(lambda a, b: bool(a.intersects(b))), deterministic=True
    )
    database.create_function(
        "ST_PointOnSurface",
        1,
        lambda wkb: None if wkb is None else shapely.to_wkb(shapely.point_on_surface(shapely.from_wkb(wkb))),
        deterministic=True,
    )
    database.create_function("ST_Covers", 2, on_wkb(lambda a, b: bool(a.covers(b))), deterministic=True)


connection_created.connect(_register_on_sqlite, dispatch_uid="swardbook-boundary-functions")
