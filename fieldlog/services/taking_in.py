"""Taking visits in as phones send them: once each however often they come, and what is wrong in one keeps the rest."""

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import Http404
from django.utils import timezone

from config.errors import Conflict, SwardbookError, refused_from
from fieldlog.models import Photo, Reading, Visit
from fieldlog.queries.planted_facts import facts_at
from fieldlog.queries.protocols import protocols_of
from fieldlog.services import photo_facts, readings
from fieldlog.services.clocks import check_moment, clock_of
from fieldlog.services.phones import check_phone
from fieldlog.services.rules import consider_all
from fieldlog.services.said import (
    LONGEST_NOTE,
    PHOTO,
    READING,
    Taken,
    check_text,
    first_said,
    place_of,
    refused_part,
)
from plots.models import Membership
from plots.services.locking import lock_plots
from plots.services.recorders import check_recorder

_RELATIONS = ("plot", "phone", "recorded_by", "corrected_by")
_HERE = "is here already and says something else"


@transaction.atomic
def take_in(*, property, user, visits, sent_at=None, phone_id=None):
    """Take visits in, each in its own savepoint.

    Parameters
    ----------
    property : Property
    user : User
        Who is signed in.
    visits : list of SaidVisit
        Of plots of the property, archived ones too: the phone may not have heard of it.
    sent_at : datetime, optional
        By the clock that the visits' moments are by. More than two minutes off, they are put right by the difference.
    phone_id : UUID, optional

    Returns
    -------
    list of Taken
        In the same order. An error is one of config/errors.py, or Http404 where an id belongs to another property.

    Raises
    ------
    Refused
        `sent_at` cannot be used.
    PhoneEnded
        The phone's access was ended.
    """
    phone = check_phone(user, phone_id)
    clock = clock_of(sent_at)
    # Of one person one sending at a time, or two of the same visits could wait for each other.
    list(Membership.objects.select_for_update(no_key=True).filter(user=user, property=property))
    here = Visit.objects.filter(pk__in=[each.id for each in visits], plot__property=property)
    lock_plots([*(each.plot.pk for each in visits), *here.values_list("plot_id", flat=True)])
    return _Sending(property, user, clock, phone, visits).take_all()


class _Sending:
    """Some visits of one person, and what is here already, asked for all of them at once."""

    def __init__(self, property, user, clock, phone, visits):
        self.property, self.user, self.clock, self.phone = property, user, clock, phone
        self.said = visits
        self.added = []  # readings that were stored
        self.look()

    def look(self):
        self.visits = Visit.objects.select_related("plot", "recorded_by").in_bulk(
            [each.id for each in self.said]
        )
        shown = [part.get("reading_id") for each in self.said for part in each.photos]
        ids = [part["id"] for each in self.said for part in each.readings]
        self.readings = Reading.objects.in_bulk({*ids, *filter(None, shown)})
        self.photos = photo_facts.PhotosHere(
            self.property, [part for each in self.said for part in each.photos]
        )
        when = {(each.plot.pk, self._day(each)) for each in self.said}
        when |= {_plot_and_day(each) for each in self.visits.values() if self._is_ours(each)}
        self.facts, self.protocols = {}, []
        if any(each.readings for each in self.said):
            self.facts, self.protocols = facts_at(self.property, when), protocols_of(self.property)

    def take_all(self):
        taken = [self._take(said) for said in self.said]
        consider_all(self.added)
        return taken

    def _take(self, said):
        try:
            check_recorder(self.user, said.recorded_by, "recorded this visit")
            try:
                return self._store(said)
            except IntegrityError:  # another sending of it was quicker
                self.look()
                return self._store(said)
        except IntegrityError:
            return Taken(
                error=Conflict(f"The visit {said.id} is being stored at this moment; send it again.")
            )
        except (SwardbookError, Http404) as error:
            return Taken(error=error)

    def _store(self, said):
        visit, stored = self._visit(said), self.visits.get(said.id)
        if stored is not None:
            self._check_same(stored, visit)
            visit = stored
        refused, self.mended = [], []
        new = self._prepared(said.readings, READING, refused, lambda part: self._reading(part, visit))
        mine = {each.pk for each in new}
        mine |= {pk for pk, each in self.readings.items() if each.visit_id == visit.pk}
        pictures = self._prepared(said.photos, PHOTO, refused, lambda part: self._photo(part, visit, mine))
        with transaction.atomic():
            if stored is None:
                visit.save(force_insert=True)
            Reading.objects.bulk_create(new)
            Photo.objects.bulk_create(pictures)
            Photo.objects.bulk_update(self.mended, ["reading"])
        self.visits[visit.pk] = visit
        self.readings |= {each.pk: each for each in new}
        self.added += new
        self.photos.by_id |= {each.pk: each for each in pictures}
        return Taken(visit, stored is None, refused)

    def _visit(self, said):
        said_at = said.visited_at.replace(microsecond=0)
        visited_at = self.clock.right(said_at)
        check_moment(visited_at, "visited_at", "The visit was")
        visit = Visit(
            id=said.id,
            plot=said.plot,
            recorded_by=self.user,
            phone=self.phone,
            visited_at=visited_at,
            said_at=said_at if self.clock.is_off else None,
            sent_at=self.clock.sent_at,
            clock_ahead_s=self.clock.ahead_s,
            note=check_text(said.note, "note", LONGEST_NOTE, "The note"),
            **place_of(said.place),
        )
        try:
            visit.clean_fields(exclude=_RELATIONS)
        except ValidationError as error:
            raise refused_from(error) from error
        return visit

    def _check_same(self, stored, visit):
        """Whether the id says the same as when it came first, by the clock and on the plot that were said then."""
        if not self._is_ours(stored):
            raise Http404
        if stored.recorded_by_id != self.user.pk or first_said(stored) != first_said(visit):
            raise Conflict(f"A visit with the id {visit.pk} {_HERE}; a new visit needs a new id.")

    def _is_ours(self, visit):
        return visit.plot.property_id == self.property.pk

    def _day(self, said):
        try:
            return timezone.localdate(self.clock.right(said.visited_at))
        except (SwardbookError, OverflowError, ValueError):
            return None  # it will be refused by itself

    def _prepared(self, parts, what, refused, prepare):
        """Those of the parts that are new and can be; what cannot goes to `refused`."""
        found = {}
        for part in parts:
            try:
                row = prepare(part)
                if row is not None and row.pk in found:
                    raise Conflict(
                        f"The id {row.pk} names two things of one visit; each needs an id of its own."
                    )
                if row is not None:
                    found[row.pk] = row
            except SwardbookError as error:
                refused.append(refused_part(part["id"], what, error))
        return list(found.values())

    def _reading(self, part, visit):
        known = self.facts.get(_plot_and_day(visit), readings.UNKNOWN)
        reading = readings.prepare(
            part, visit=visit, user=self.user, clock=self.clock, known=known, protocols=self.protocols
        )
        stored = self.readings.get(reading.pk)
        if stored is not None and not readings.is_same(stored, reading):
            raise Conflict(f"A reading with the id {reading.pk} {_HERE}; another one needs a new id.")
        return reading if stored is None else None

    def _photo(self, part, visit, mine):
        photo = photo_facts.prepare(
            part, here=self.photos, user=self.user, clock=self.clock, of={"visit": visit}, readings=mine
        )
        stored = self.photos.by_id.get(photo.pk)
        if stored is not None and not photo_facts.is_same(stored, photo):
            raise Conflict(f"A picture with the id {photo.pk} {_HERE}; another one needs a new id.")
        if stored is not None and stored.reading_id is None and photo.reading_id is not None:
            # the reading was refused when the picture came, and has been mended
            stored.reading_id = photo.reading_id
            self.mended.append(stored)
        return photo if stored is None else None


def _plot_and_day(visit):
    """Of a visit as it is here: somebody may have put it right since it was recorded."""
    return visit.plot_id, timezone.localdate(visit.visited_at)
