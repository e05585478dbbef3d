"""Bodies that are taken, of every route that takes visits, readings and pictures."""

from datetime import UTC, datetime
from uuid import uuid4

from fieldlog.services.said import SaidVisit
from fieldlog.services.taking_in import take_in

_NOON = datetime(2026, 9, 1, 12, tzinfo=UTC)
_AT = _NOON.isoformat()
_PLACE = {"lon": -92.0, "lat": 38.0, "accuracy_m": 5.0}


def visit_bodies(farm, owner, plot):
    """[(method, path, body)]; each is taken as things stand."""
    reading = {"id": uuid4(), "kind": "temperature", "values": {"surface_f": 110}}
    stored = SaidVisit(id=uuid4(), plot=plot, visited_at=_NOON, readings=(reading,))
    take_in(property=farm, user=owner, visits=[stored])
    corrected = {
        "replaces": str(reading["id"]),
        "values": {"surface_f": 100, "under_f": 70},
        "sure_of": ["surface_f"],
        "settings": {"good_gap_f": 40},
        "note": "n",
        "why": "Misread.",
        **_PLACE,
        **_sender(owner),
    }
    return [
        ("PUT", f"visits/{uuid4()}/", {**_said(plot), **_sender(owner)}),
        ("POST", "visits/batch/", {"visits": [{"id": str(uuid4()), **_said(plot)}], **_sender(owner)}),
        ("PATCH", f"visits/{stored.id}/", {"visited_at": _AT, "note": "n", "plot_id": plot.pk, "why": "w"}),
        ("PUT", f"readings/{uuid4()}/", corrected),
        ("POST", f"readings/{reading['id']}/strike/", {"is_struck": True}),
    ]


def _said(plot):
    return {
        "plot_id": plot.pk,
        "visited_at": _AT,
        "note": "Up.",
        **_PLACE,
        "readings": [
            {
                "id": str(uuid4()),
                "kind": "browse",
                "protocol": "browse",
                "settings": {},
                "values": {
                    "heights": [{"caged_in": 14, "open_in": 5}],
                    "species": {"id": None, "name": "Cowpea"},
                },
                "sure_of": ["heights"],
                "taken_at": _AT,
                "note": "n",
                **_PLACE,
            }
        ],
        "photos": [
            {
                "id": str(uuid4()),
                "sha256": "ab" * 32,
                "taken_at": _AT,
                "bearing_deg": 90,
                "caption": "c",
                "reading_id": None,
                "point_id": None,
                **_PLACE,
            }
        ],
    }


def _sender(owner):
    return {"recorded_by": owner.pk, "phone_id": str(uuid4()), "sent_at": _AT}
