"""The OpenAPI 3.0 description of /ogc/."""

from blends.ogc.asking import GEOJSON, HTML, JSON
from blends.ogc.documents import OPENAPI, TITLE, what_is_here
from blends.ogc.filters import CRS84, LIMIT, MOST

_STRING = {"type": "string"}
_OBJECT = {"type": "object"}
_LINKS = {"type": "array", "items": {"$ref": "#/components/schemas/link"}}


def _query(name, description, schema):
    return {
        "name": name,
        "in": "query",
        "required": False,
        "description": description,
        "schema": schema,
        "style": "form",
        "explode": False,
    }


def _path(name, schema):
    return {"name": name, "in": "path", "required": True, "schema": schema}


_CRS = {"type": "string", "format": "uri", "enum": [CRS84], "default": CRS84}
PARAMETERS = {
    "f": _query("f", "The form of the answer.", {"type": "string", "enum": ["json", "html"]}),
    "token": _query("token", "A token, for programs that cannot send it otherwise.", _STRING),
    # No maximum: more is not refused but answered with the most.
    "limit": _query(
        "limit",
        f"How many features a page has; more than {MOST} count as {MOST}.",
        {"type": "integer", "minimum": 1, "default": LIMIT},
    ),
    "offset": _query(
        "offset", "How many features to pass over.", {"type": "integer", "minimum": 0, "default": 0}
    ),
    "bbox": _query(
        "bbox",
        "West, south, east and north in degrees, or six numbers with heights, which say nothing here. What has no "
        "geometry matches.",
        {
            "type": "array",
            "oneOf": [{"minItems": 4, "maxItems": 4}, {"minItems": 6, "maxItems": 6}],
            "items": {"type": "number"},
        },
    ),
    "bbox-crs": _query("bbox-crs", "The reference system of bbox.", _CRS),
    "crs": _query("crs", "The reference system of the answer.", _CRS),
    "datetime": _query(
        "datetime",
        "A moment, or an interval such as 2026-04-01T00:00:00Z/.. with open ends. For what has a day and no hour its "
        "days count. What has no day matches.",
        _STRING,
    ),
    "collectionId": _path("collectionId", _STRING),
    "featureId": _path("featureId", _STRING),
}
_BASIC = ["f", "token"]
_ITEMS = ["limit", "offset", "bbox", "bbox-crs", "crs", "datetime"]


def _get(operation, summary, parameters, media_type, schema, is_one_of_many=False):
    errors = ["400", "401"] + (["404"] if is_one_of_many else [])
    return {
        "get": {
            "operationId": operation,
            "summary": summary,
            "parameters": [{"$ref": f"#/components/parameters/{name}"} for name in parameters],
            "responses": {
                "200": {
                    "description": summary,
                    "content": {media_type: {"schema": schema}, HTML: {"schema": _STRING}},
                }
            }
            | {status: {"$ref": f"#/components/responses/{status}"} for status in errors},
        }
    }


def _schema(required, **properties):
    return {"type": "object", "required": list(required), "properties": properties}


_SCHEMAS = {
    "link": _schema(["href", "rel"], href=_STRING, rel=_STRING, type=_STRING, title=_STRING),
    "exception": _schema(["code"], code=_STRING, description=_STRING),
    "landing": _schema(["links"], title=_STRING, description=_STRING, links=_LINKS),
    "conformance": _schema(["conformsTo"], conformsTo={"type": "array", "items": _STRING}),
    "collection": _schema(
        ["id", "links"],
        id=_STRING,
        title=_STRING,
        description=_STRING,
        itemType={"type": "string", "default": "feature"},
        extent=_OBJECT,
        crs={"type": "array", "items": _STRING},
        links=_LINKS,
    ),
    "collections": _schema(
        ["links", "collections"],
        links=_LINKS,
        collections={"type": "array", "items": {"$ref": "#/components/schemas/collection"}},
    ),
    "feature": _schema(
        ["type", "geometry", "properties"],
        type={"type": "string", "enum": ["Feature"]},
        id={"oneOf": [{"type": "integer"}, {"type": "string"}]},
        geometry=_OBJECT | {"nullable": True},
        properties=_OBJECT,
        links=_LINKS,
    ),
    "featureCollection": _schema(
        ["type", "features"],
        type={"type": "string", "enum": ["FeatureCollection"]},
        features={"type": "array", "items": {"$ref": "#/components/schemas/feature"}},
        links=_LINKS,
        timeStamp={"type": "string", "format": "date-time"},
        numberMatched={"type": "integer", "minimum": 0},
        numberReturned={"type": "integer", "minimum": 0},
    ),
}
_ERRORS = {
    "400": "A parameter or value that is not accepted.",
    "401": "No token, or one that opens nothing.",
    "404": "There is nothing here that you can see.",
}


def document(root):
    """The description, with the address that the person knows this site by."""

    def of(name):
        return {"$ref": f"#/components/schemas/{name}"}

    one, many = ["collectionId", *_BASIC], "/collections/{collectionId}"
    return {
        "openapi": "3.0.3",
        "info": {"title": TITLE, "description": what_is_here(), "version": "1"},
        "servers": [{"url": root.rstrip("/")}],
        "security": [{"basic": []}, {"bearer": []}, {"token": []}],
        "paths": {
            "/": _get("landing", "Where everything is", _BASIC, JSON, of("landing")),
            "/api": _get("api", "This description", _BASIC, OPENAPI, _OBJECT),
            "/conformance": _get(
                "conformance", "What of the standard is kept", _BASIC, JSON, of("conformance")
            ),
            "/collections": _get("collections", "The collections", _BASIC, JSON, of("collections")),
            many: _get("collection", "One collection", one, JSON, of("collection"), True),
            f"{many}/items": _get(
                "items", "Its features", [*one, *_ITEMS], GEOJSON, of("featureCollection"), True
            ),
            f"{many}/items/{{featureId}}": _get(
                "item", "One feature", ["featureId", *one], GEOJSON, of("feature"), True
            ),
        },
        "components": {
            "parameters": PARAMETERS,
            "schemas": _SCHEMAS,
            "responses": {
                status: {"description": sentence, "content": {JSON: {"schema": of("exception")}}}
                for status, sentence in _ERRORS.items()
            },
            "securitySchemes": {
                "basic": {"type": "http", "scheme": "basic"},
                "bearer": {"type": "http", "scheme": "bearer"},
                "token": {"type": "apiKey", "in": "query", "name": "token"},
            },
        },
    }
