"""The visits of a property as its log shows them, and one visit with every version of what was read there."""

from dataclasses import dataclass, field
from datetime import datetime, time

from django.utils import timezone

from fieldlog.kinds import KINDS
from fieldlog.models import Reading
from fieldlog.queries.visits import SHORT, visits_for
from fieldlog.services.figures import doubted
from fieldlog.services.reading_versions import rivals_of
from fieldlog.told import answers_of, expected_told, settings_of, title_of
from plots.models import User


def log_of(property, *, plot=None, kind="", person=None, since=None, until=None):
    """Visits, the latest first, with the readings that count and the pictures that were not set aside.

    Parameters
    ----------
    property : Property
    plot, person : int or None
        Ids.
    kind : str
        Of a reading that counts; empty is any.
    since, until : date or None
        Days of the site's zone, both included.
    """
    visits = (
        visits_for(property)
        .prefetch_related(None)
        .prefetch_related(*SHORT)
        .select_related(None)
        .select_related("plot", "recorded_by", "corrected_by")
    )
    if plot is not None:
        visits = visits.filter(plot=plot)
    if person is not None:
        visits = visits.filter(recorded_by=person)
    if kind:
        found = Reading.objects.filter(Reading.COUNTS, kind=kind)
        visits = visits.filter(pk__in=found.values("visit"))
    if since:
        visits = visits.filter(visited_at__gte=_start(since, time.min))
    if until:
        visits = visits.filter(visited_at__lte=_start(until, time.max))
    return visits


def conflicts_of(property):
    """Readings of which two versions stand, the later of each pair, with `.rival_of` and its visit."""
    return (
        Reading.objects.filter(
            Reading.COUNTS,
            visit__plot__property=property,
            rival_of__replaced_by__isnull=True,
            rival_of__struck_at__isnull=True,
            rival_of__isnull=False,
        )
        .select_related("visit__plot", "recorded_by", "rival_of__recorded_by")
        .order_by("-received_at")
    )


def people_of(property):
    """Who recorded visits on the property, by name."""
    ids = visits_for(property).prefetch_related(None).order_by().values("recorded_by")
    return sorted(User.objects.filter(pk__in=ids), key=lambda user: user.shown_name.casefold())


def _start(day, at):
    return timezone.make_aware(datetime.combine(day, at))


@dataclass
class ReadingShown:
    """A reading for a page: in words, with what came before it and what stands beside it."""

    reading: Reading
    title: str
    answers: list
    settings: list
    doubted: list = field(default_factory=list)
    sure_of: list = field(default_factory=list)
    earlier: list = field(default_factory=list)
    rivals: list = field(default_factory=list)

    @property
    def has_expected(self):
        return any(map(expected_told, self.reading.figures))


def readings_shown(visit):
    """The visit's readings that count, then those that were struck, each with the versions it replaced.

    Parameters
    ----------
    visit : Visit
        With its readings prefetched: every version.
    """
    versions = sorted(visit.readings.all(), key=lambda each: (each.taken_at, each.received_at))
    by_id = {each.pk: each for each in versions}
    counting = [each for each in versions if each.counts]
    earlier = {}
    for each in versions:
        if each.replaced_by_id is not None:
            earlier.setdefault(_stands(each, by_id).pk, []).append(shown(each))
    standing = [each for each in versions if each.replaced_by_id is None]
    found = []
    for each in sorted(standing, key=lambda each: each.struck_at is not None):
        one = shown(each)
        one.earlier = earlier.get(each.pk, [])
        one.rivals = rivals_of(each, counting) if each.counts else []
        found.append(one)
    return found


def shown(reading):
    """One version of a reading in words."""
    kind = KINDS.get(reading.kind)
    labels = {step.name: step.label for step in kind.steps} if kind else {}
    return ReadingShown(
        reading,
        title_of(reading.kind),
        answers_of(reading),
        settings_of(reading),
        doubted=[labels[name] for name in doubted(reading)],
        sure_of=[labels.get(name, name) for name in reading.sure_of],
    )


def _stands(reading, by_id):
    while reading.replaced_by_id is not None and reading.replaced_by_id in by_id:
        reading = by_id[reading.replaced_by_id]
    return reading
