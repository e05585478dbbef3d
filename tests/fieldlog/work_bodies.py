"""Bodies that the routes of work, proposals and rules take; for tests/good_bodies.py."""

from uuid import uuid4

from django.utils import timezone

from fieldlog.models import Reading, Visit
from fieldlog.services.rules import consider
from fieldlog.services.work import add_work
from fieldlog.services.work_reports import report_work


def work_bodies(farm, owner, plot):
    """[(method, path, body)]; each is taken as things stand."""
    item, _ = add_work(property=farm, user=owner, said={"title": "Mow the lane"})
    report, _ = report_work(
        id=uuid4(), item=item, user=owner, done_at=timezone.now(), said={"is_finished": False}
    )
    visit = Visit.objects.create(plot=plot, visited_at=timezone.now(), recorded_by=owner)
    weeds = {"species": {"id": None, "name": "Pigweed"}, "stage": "bloom"}
    reading = Reading.objects.create(
        visit=visit, kind="weeds", values=weeds, taken_at=visit.visited_at, recorded_by=owner
    )
    consider(reading)
    proposal = reading.proposals.get()
    place = {"lon": -92.0, "lat": 38.0, "accuracy_m": 5.0}
    said = place | {
        "kind": "pull",
        "title": "Pull it",
        "plot_id": plot.pk,
        "how": "By hand",
        "tools": "Gloves",
        "starts_on": "2026-11-01",
        "due_on": "2026-11-20",
        "assigned_to_id": owner.pk,
    }
    sender = {"recorded_by": owner.pk, "phone_id": str(uuid4()), "sent_at": timezone.now().isoformat()}
    photo = place | {
        "id": str(uuid4()),
        "sha256": "ab" * 32,
        "taken_at": "2026-11-01T10:00:00Z",
        "bearing_deg": 90.0,
        "caption": "Done",
    }
    done = place | {
        "item_id": str(item.pk),
        "done_at": "2026-11-01T10:00:00Z",
        "minutes": "12.5",
        "is_finished": True,
        "note": "n",
        "photos": [photo],
    }
    done |= sender
    return [
        ("POST", "work/", said),
        ("PUT", f"work/{uuid4()}/", said | sender),
        ("PATCH", f"work/{item.pk}/", said | {"state": "dropped", "why": "Rain did it"}),
        ("PUT", f"work-reports/{uuid4()}/", done),
        ("POST", f"work-reports/{report.pk}/strike/", {}),
        ("POST", f"proposals/{proposal.pk}/accept/", {"assigned_to_id": owner.pk, "due_on": "2026-12-01"}),
        ("POST", f"proposals/{proposal.pk}/dismiss/", {"why": "A good weed"}),
        ("PUT", "rules/thin_stand/", {"thresholds": {"least_pct": 40, "again_days": 5}, "is_on": True}),
    ]
