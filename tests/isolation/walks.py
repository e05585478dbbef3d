"""Walks: who records may send one, who may change plots makes a boundary of it. They stand on the plot of plots.py."""

from datetime import UTC, datetime
from uuid import UUID

from plots.services.walks import receive_walk
from tests.isolation import EDITORS, MEMBERS, PEOPLE, RECORDERS, Row
from tests.walking import square_walk

STARTED_AT = datetime(2026, 11, 3, 14, 5, tzinfo=UTC)
# What the walk under test was sent with: sent again it is the same one.
SENT = {"fixes": square_walk(), "started_at": STARTED_AT.isoformat(), "sent_at": "2026-11-03T15:00:00Z"}

ROWS = [
    # The same for everybody: in neither is anything private.
    Row("service-worker", "GET", PEOPLE),
    Row("walk-shell", "GET", PEOPLE),
    Row("walk", "GET", RECORDERS),
    Row("walk-ground", "GET", RECORDERS),
    Row("walks", "GET", MEMBERS),
    Row("walk-review", "GET", MEMBERS),
    Row("walk-review", "POST", EDITORS, 302, body={"act": "accept", "new_name": "Walked"}),
    Row("walk-track", "GET", MEMBERS),
    Row("walk-gpx", "GET", MEMBERS),
    Row("api-walks", "GET", MEMBERS),
    Row("api-walk", "GET", MEMBERS),
    Row("api-walk", "PUT", RECORDERS, body=SENT),
    Row("api-walk-accept", "POST", EDITORS, body={"new_name": "Walked"}),
    Row("api-walk-set-aside", "POST", EDITORS),
]


def things(farm, owner):
    walk, _ = receive_walk(
        property=farm,
        user=owner,
        walk_id=UUID("5f0c7a3e-8a51-4b7e-9f0e-2f6f4f1f7a11"),
        fixes=square_walk(),
        started_at=STARTED_AT,
        sent_at=STARTED_AT,
    )
    return {"walk_id": walk.pk}
