"""The demonstration's field log: visits with readings and pictures over two seasons, work, and a phone that waits.

What fixtures/demo/field.json tells is brought in by the services that a phone's records go through. A visit is told by
the days since its plot was planted, or by days before the load; one that would lie ahead is left out.
"""

import hashlib
import uuid
from datetime import datetime, time, timedelta
from io import BytesIO

from django.conf import settings
from django.utils import timezone

from blends.models import Planting, Species
from blends.services import demo
from fieldlog.models import PhotoPoint, Proposal, Reading
from fieldlog.services.phones import hear_from_phone
from fieldlog.services.photos import receive_photo
from fieldlog.services.proposals import accept_proposal
from fieldlog.services.reading_versions import correct_reading
from fieldlog.services.said import SaidVisit
from fieldlog.services.taking_in import take_in
from fieldlog.services.work import add_work
from fieldlog.services.work_photos import name_photo
from fieldlog.services.work_reports import report_work
from plots.services.rows import save_clean

_POINT = ("name", "lon", "lat", "bearing_deg", "note")
_PLACE = ("lon", "lat", "accuracy_m")


def is_loaded(property):
    return PhotoPoint.objects.filter(plot__property=property).exists()


def load_field(property, plots, people):
    """Bring in what field.json tells.

    Parameters
    ----------
    property : Property
    plots : dict
        {name: Plot}
    people : dict
        {user name: User}
    """
    _Story(property, plots, people, demo.read("field.json")).tell()


class _Story:
    def __init__(self, property, plots, people, told):
        self.property, self.plots, self.people, self.told = property, plots, people, told
        self.species = {
            row.key: {"id": row.pk, "name": row.common_name} for row in Species.objects.filter(property=None)
        }
        planted = Planting.objects.filter(season__property=property, planted_on__isnull=False)
        planted = planted.select_related("season", "plot").order_by("planted_on")
        self.planted_on = {(row.season.kind, row.plot.name): row.planted_on for row in planted}
        self.readings, self.points, self.bytes = {}, {}, {}

    def tell(self):
        for row in self.told["points"]:
            self._point(row)
        visits = [(self._when(row), row) for row in self.told["visits"]]
        for when, row in sorted((each for each in visits if each[0]), key=lambda each: each[0]):
            self._visit(row, when)
        for row in self.told["corrections"]:
            self._correct(row)
        for row in self.told["work"]:
            self._work(row)
        self._pull(self.told["pulled"])
        for content in self.bytes.values():
            _receive(self.property, content)
        self._phone(self.told["phone"])

    def _point(self, row):
        facts = {name: row[name] for name in _POINT}
        owner = self.people[demo.OWNER.username]
        point = PhotoPoint(plot=self.plots[row["plot"]], created_by=owner, **facts)
        self.points[row["name"]] = save_clean(point)

    def _when(self, row):
        """The moment of a visit, or None where its plot was not planted or the day has not come."""
        if "days_ago" in row:
            day = timezone.localdate() - timedelta(days=row["days_ago"])
        else:
            planted_on = self.planted_on.get((row["season"], row["plot"]))
            day = planted_on and planted_on + timedelta(days=row["age_days"])
        return day and _moment(day, row["at"]) if day and day < timezone.localdate() else None

    def _visit(self, row, when):
        ids = {}
        readings = []
        for told in row.get("readings", ()):
            reading_id = uuid.uuid4()
            if "key" in told:
                ids[told["key"]] = self.readings[told["key"]] = reading_id
            readings.append(self._reading(told, reading_id))
        said = SaidVisit(
            id=uuid.uuid4(),
            plot=self.plots[row["plot"]],
            visited_at=when,
            note=row["note"],
            readings=tuple(readings),
            photos=tuple(self._photo(told, when, ids) for told in row.get("photos", ())),
        )
        [taken] = take_in(property=self.property, user=self.people[row["by"]], visits=[said])
        if taken.error or taken.refused:
            raise ValueError(f"{row['plot']}: {taken.error or taken.refused}")

    def _reading(self, told, reading_id):
        plain = {
            name: told[name] for name in ("kind", "settings", "sure_of", "note", *_PLACE) if name in told
        }
        return plain | {"id": reading_id, "protocol": told["kind"], "values": self._values(told["values"])}

    def _values(self, told):
        """Values with a species for each {"key": …}, and with taps for what is told as "22/100"."""
        if isinstance(told, dict):
            named = self.species.get(told["key"]) if "key" in told else None
            return named or {
                name: [_taps(line) for line in value] if name == "lines" else self._values(value)
                for name, value in told.items()
            }
        return [self._values(each) for each in told] if isinstance(told, list) else told

    def _photo(self, told, when, readings=()):
        content = self.bytes.setdefault(told["file"], _picture(told["file"]))
        facts = {name: told[name] for name in ("bearing_deg", "caption", *_PLACE) if name in told}
        if point := self.points.get(told.get("point")):
            facts |= {"point_id": point.pk, "lon": point.lon, "lat": point.lat, "accuracy_m": 5}
        if "reading" in told:
            facts["reading_id"] = readings[told["reading"]]
        digest = hashlib.sha256(content).hexdigest()
        return facts | {"id": uuid.uuid4(), "sha256": digest, "taken_at": when + timedelta(minutes=4)}

    def _correct(self, row):
        reading = Reading.objects.filter(pk=self.readings.get(row["of"])).first()
        if reading is not None:
            said = {"values": self._values(row["values"])}
            user = self.people[row["by"]]
            correct_reading(reading=reading, user=user, id=uuid.uuid4(), said=said, why=row["why"])

    def _pull(self, told):
        """What was proposed of a patch is put on the list and done."""
        proposal = Proposal.objects.filter(reading=self.readings.get(told["of"])).first()
        if proposal is None:
            return
        user = self.people[told["by"]]
        decided_by = self.people[told["accepted_by"]]
        accepted = accept_proposal(proposal=proposal, user=decided_by, assigned_to_id=user.pk)
        day = timezone.localdate(proposal.reading.taken_at) + timedelta(days=told["days_after"])
        if day < timezone.localdate():
            self._report(accepted.work_item, user, _moment(day, told["at"]), told)

    def _work(self, row):
        said = {name: row[name] for name in ("kind", "title", "how", "tools") if name in row}
        said |= {
            "plot_id": self.plots[row["plot"]].pk,
            "due_on": timezone.localdate() + timedelta(days=row["due_in_days"]),
            "assigned_to_id": self.people[row["for"]].pk if "for" in row else None,
        }
        item, _ = add_work(property=self.property, user=self.people[row["by"]], said=said)
        if done := row.get("done"):
            day = timezone.localdate() - timedelta(days=done["days_ago"])
            self._report(item, self.people[row["for"]], _moment(day, done["at"]), done)

    def _report(self, item, user, done_at, told):
        said = {"minutes": told["minutes"], "note": told["note"], "is_finished": True}
        report, _ = report_work(id=uuid.uuid4(), item=item, user=user, done_at=done_at, said=said)
        if "photo" in told:
            name_photo(report=report, user=user, said=self._photo(told["photo"], done_at))

    def _phone(self, told):
        now = timezone.now()
        waiting = [
            {
                "id": uuid.uuid4(),
                "kind": each["kind"],
                "title": each["title"],
                "slug": self.property.slug,
                "started_at": now - timedelta(hours=each["hours_ago"]),
            }
            for each in told["waiting"]
        ]
        user = self.people[told["by"]]
        hear_from_phone(user=user, phone_id=uuid.uuid4(), name=told["name"], waiting=waiting, sent_at=now)


def _receive(property, content):
    digest = hashlib.sha256(content).hexdigest()
    receive_photo(property=property, sha256=digest, read=BytesIO(content).read)


def _picture(name):
    return (settings.BASE_DIR / "fixtures" / "demo" / "pictures" / name).read_bytes()


def _taps(told):
    """A line of taps, spread evenly: '2/4' is 0101."""
    hits, marks = map(int, told.split("/"))
    return "".join(str((mark + 1) * hits // marks - mark * hits // marks) for mark in range(marks))


def _moment(day, at):
    return timezone.make_aware(datetime.combine(day, time.fromisoformat(at)))
