"""A phone tells what waits on it, for whoever is signed in on it; who edits sees the phones of the property's people."""

from uuid import UUID

from fieldlog.services.phones import hear_from_phone
from tests.isolation import EDITORS, MEMBERS, OWNERS, PEOPLE, Row

SIGNED_IN = PEOPLE[1:]
SAID = {"sent_at": "2026-11-03T15:00:00Z", "waiting": []}

ROWS = [
    Row("manifest", "GET", MEMBERS),
    Row("phones", "GET", EDITORS),
    # It is the owner's phone, which a manager does not end.
    Row("phone", "GET", OWNERS),
    Row("phone", "POST", OWNERS, 302, body={"act": "end"}),
    # Whoever says it is its person, so there is nobody else's to reach.
    Row("api-phone", "PUT", SIGNED_IN, body=SAID, is_shared=True),
]


def things(farm, owner):
    phone = hear_from_phone(
        user=owner, phone_id=UUID("0f5be2a6-9f43-4d0c-8d53-77a9e46dd001"), waiting=[], name="Android phone"
    )
    return {"phone_id": phone.phone_id, "phone_pk": phone.pk}
