"""What the standard asks of a file, from its schemas: the two YAML files say which properties there are and of what
type, `datatypes.json` says what a type is in JSON."""

import json
from pathlib import Path

import yaml
from jsonschema import Draft7Validator, Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT7, DRAFT202012

HERE = Path(__file__).resolve().parent
VECOREL = yaml.safe_load((HERE / "vecorel-specification-v0.1.0-schema.yaml").read_text("utf-8"))
FIBOA = yaml.safe_load((HERE / "fiboa-specification-v0.3.0-schema.yaml").read_text("utf-8"))
DATATYPES = json.loads((HERE / "vecorel-specification-v0.1.0-geojson-datatypes.json").read_text("utf-8"))
GEOPARQUET = json.loads((HERE / "geoparquet-v1.1.0-schema.json").read_text("utf-8"))

PROPERTIES = VECOREL["properties"] | FIBOA["properties"]
REQUIRED = VECOREL["required"]
URIS = {
    "https://vecorel.org/specification/v0.1.0/schema.yaml",
    "https://fiboa.org/specification/v0.3.0/schema.yaml",
}
_POSITIONS = {"type": "array", "minItems": 4, "items": {"type": "array", "minItems": 2, "maxItems": 2}}
_GEOMETRY = {  # the standard refers to the whole of geojson.org's; plots are of one type
    "type": "object",
    "required": ["type", "coordinates"],
    "properties": {
        "type": {"const": "MultiPolygon"},
        "coordinates": {"type": "array", "minItems": 1, "items": {"type": "array", "items": _POSITIONS}},
    },
}
_REGISTRY = Registry().with_resources(
    [
        (DATATYPES["$id"], Resource.from_contents(DATATYPES, DRAFT202012)),
        ("https://geojson.org/schema/Geometry.json", Resource.from_contents(_GEOMETRY, DRAFT202012)),
        # No file of ours has a `crs`.
        (
            "https://proj.org/schemas/v0.7/projjson.schema.json",
            Resource.from_contents({"not": {}}, DRAFT7),
        ),
    ]
)


def json_schema(name):
    """One property of the standard as JSON Schema: what it says itself goes before what its type says."""
    given = PROPERTIES[name]
    return DATATYPES["$defs"][given["type"]] | {key: value for key, value in given.items() if key != "type"}


def problems_of(value, schema):
    checker = Draft202012Validator.FORMAT_CHECKER
    found = Draft202012Validator(schema, registry=_REGISTRY, format_checker=checker).iter_errors(value)
    return [f"{error.json_path}: {error.message}" for error in found]


def problems_of_values(values):
    """What is wrong with {property: value} of one feature, `schemas` aside."""
    wanted = [name for name in REQUIRED if name != "schemas"]
    schema = {"required": wanted, "properties": {name: json_schema(name) for name in PROPERTIES}}
    return problems_of(values, schema)


def problems_of_schemas(schemas, collections):
    """What is wrong with the member that says which schemas the collections follow."""
    found = problems_of(schemas, json_schema("schemas"))
    return found + [
        f"{each} names not both schemas" for each in collections if not set(schemas[each]) >= URIS
    ]


def problems_of_geo(geo):
    """What is wrong with the `geo` metadata of a GeoParquet file."""
    return [error.message for error in Draft7Validator(GEOPARQUET, registry=_REGISTRY).iter_errors(geo)]
