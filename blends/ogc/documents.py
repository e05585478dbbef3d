"""The documents of the standard, as dictionaries: what there is, and where."""

from datetime import UTC, datetime

from django.utils import timezone

from blends.ogc.asking import GEOJSON, HTML, JSON
from blends.ogc.filters import CRS84
from blends.ogc.kinds import KINDS

OPENAPI = "application/vnd.oai.openapi+json;version=3.0"
CONFORMS_TO = [
    f"http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/{part}" for part in ("core", "oas30", "geojson")
]
TITLE = "Swardbook"


def what_is_here():
    """'Plots, plantings and visits of the properties that you belong to. Read only.'"""
    *names, last = KINDS
    kinds = f"{', '.join(names)} and {last}"
    return f"{kinds[0].upper()}{kinds[1:]} of the properties that you belong to. Read only."


def landing(asked):
    return {
        "title": TITLE,
        "description": what_is_here(),
        "links": [
            *_itself(asked, "ogc-landing"),
            asked.link("service-desc", "ogc-api", "What can be asked here", media_type=OPENAPI),
            asked.link("service-doc", "ogc-api", "What can be asked here", {"f": "html"}, HTML),
            asked.link("conformance", "ogc-conformance", "What of the standard is kept"),
            asked.link("data", "ogc-collections", "The collections"),
        ],
    }


def conformance(asked):
    return {"conformsTo": CONFORMS_TO, "links": _itself(asked, "ogc-conformance")}


def collections(asked, found):
    return {
        "links": _itself(asked, "ogc-collections"),
        "collections": [collection(asked, one) for one in found],
    }


def collection(asked, one):
    here = {"collection_id": one.id}
    return {
        "id": one.id,
        "title": one.title,
        "description": one.kind.description,
        "itemType": "feature",
        "extent": _extent(one.extent),
        "crs": [CRS84],
        "links": [
            *_itself(asked, "ogc-collection", title=one.title, **here),
            asked.link("items", "ogc-items", one.title, media_type=GEOJSON, **here),
            asked.link("items", "ogc-items", one.title, {"f": "html"}, HTML, **here),
        ],
    }


def items_members(asked, one, wanted, matched, returned):
    """What stands in a page of items beside the features."""
    here = {"collection_id": one.id}
    query = {name: value for name, value in asked.values.items() if name != "token"}

    def page(rel, title, **changed):
        return asked.link(rel, "ogc-items", title, query | changed, GEOJSON, **here)

    links = [
        page("self", "This page"),
        asked.link("alternate", "ogc-items", "This page for reading", query | {"f": "html"}, HTML, **here),
        asked.link("collection", "ogc-collection", one.title, **here),
    ]
    if returned and wanted.offset + returned < matched:
        links.append(page("next", "The next page", offset=wanted.offset + returned))
    if wanted.offset:
        links.append(page("prev", "The page before", offset=max(0, wanted.offset - wanted.limit)))
    return {
        "links": links,
        "numberMatched": matched,
        "numberReturned": returned,
        "timeStamp": f"{timezone.now():%Y-%m-%dT%H:%M:%SZ}",
    }


def item_links(asked, one, feature_id):
    here = {"collection_id": one.id, "feature_id": feature_id}
    return [
        *_itself(asked, "ogc-item", media_type=GEOJSON, **here),
        asked.link("collection", "ogc-collection", one.title, collection_id=one.id),
    ]


def _itself(asked, route, title="This document", media_type=JSON, **kwargs):
    return [
        asked.link("self", route, title, media_type=media_type, **kwargs),
        asked.link("alternate", route, f"{title}, for reading", {"f": "html"}, HTML, **kwargs),
    ]


def _extent(extent):
    found = {}
    if extent.bbox:
        found["spatial"] = {"bbox": [extent.bbox], "crs": CRS84}
    if extent.first:
        found["temporal"] = {
            "interval": [[_moment_text(extent.first, "00:00:00"), _moment_text(extent.last, "23:59:59")]],
            "trs": "http://www.opengis.net/def/uom/ISO-8601/0/Gregorian",
        }
    return found


def _moment_text(when, hour):
    """RFC 3339 in UTC; a day gets the hour."""
    if isinstance(when, datetime):
        return f"{when.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
    return f"{when}T{hour}Z"
