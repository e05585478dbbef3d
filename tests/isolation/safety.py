"""Cautions for every member; who records says that they are out alone, and at the desk that somebody is back."""

from datetime import timedelta
from uuid import uuid4

from django.utils import timezone

from fieldlog.services.check_ins import receive_check_in
from tests.isolation import MEMBERS, RECORDERS, Row

ROWS = [
    Row("safety", "GET", MEMBERS),
    Row("check-in-end", "POST", RECORDERS, 302),
    # Somebody else is out under this id, here the owner.
    Row(
        "api-check-in",
        "PUT",
        RECORDERS,
        409,
        body={"began_at": "2026-11-20T16:05:00Z", "back_by": "2026-11-20T17:05:00Z"},
        but={"owner": 200},
    ),
]


def things(farm, owner):
    now = timezone.now()
    check_in, _ = receive_check_in(
        id=uuid4(), property=farm, user=owner, began_at=now, back_by=now + timedelta(hours=1)
    )
    return {"check_in_id": check_in.pk}
