"""The figures of readings: made when a reading is written, and again when the way of making them is newer."""

from collections import defaultdict

from django.db import transaction
from django.db.models import Q
from django.db.models.signals import post_save
from django.utils import timezone

from blends.models import Lot, LotTest, Machine, Planting, SpeciesOverride
from fieldlog.kinds import KINDS
from fieldlog.models import Reading
from fieldlog.queries.planted_facts import facts_at
from fieldlog.services.rules import consider
from plots.services.locking import lock_plots
from plots.services.measuring import acreage_changed

AT_ONCE = 500
_DAYS = tuple(f"days_to_{what}_{end}" for what in ("bloom", "seed") for end in ("low", "high"))


def figures_for(reading, facts):
    """Put the figures on a reading that its values come to; nothing is saved.

    Parameters
    ----------
    reading : Reading
        Of a kind that is known. Of its answers those count that the kind, as it is now, can read.
    facts : Facts
        What was known of the plot that day.
    """
    kind = KINDS[reading.kind]
    values, settings = kind.read(reading.values)[0], kind.read_settings(reading.settings)[0]
    found = kind.figures(values, settings, facts)
    reading.figures, reading.figures_by = [each.as_json() for each in found], kind.version


def doubted(reading):
    """Names of the steps with questionable values that nobody stood by."""
    kind = KINDS.get(reading.kind)
    return kind.doubted(reading.values, reading.sure_of) if kind else []


def remake_old(most=AT_ONCE):
    """Make figures again that an older version of their kind made, or that `mark_stale` gave up.

    Returns
    -------
    int
        How many were made; of the rest the next sweep makes some.
    """
    older = Q()
    for kind in KINDS.values():
        older |= Q(kind=kind.key, figures_by__lt=kind.version)
    return _remake(older, most)


@transaction.atomic
def mark_stale(**lookup):
    """Let the sweep make figures of readings again: what was planted there is known otherwise now.

    Parameters
    ----------
    **lookup
        Which readings.
    """
    rows = Reading.objects.filter(**lookup).exclude(figures_by=0)
    # in the order in which they are made again, so that neither waits for the other
    if list(rows.select_for_update(of=("self",)).values_list("pk")):
        rows.update(figures_by=0)


def planting_saved(sender, instance, created, **_):
    """What is recorded of a planting, corrected or struck, saves the planting too."""
    if not (created and instance.state == instance.State.PLANNED):
        mark_stale(visit__plot=instance.plot_id)


def seed_known_otherwise(sender, instance, **_):
    """A lot's tag was corrected, or a test of it entered or struck."""
    lot_id = instance.lot_id if sender is LotTest else instance.pk
    mark_stale(planting__in=Planting.objects.filter(records__seeds__lot=lot_id))


def species_known_otherwise(sender, instance, **_):
    """The property's own value of a species is another: its seeds in a pound, or its days to bloom and seed."""
    if instance.field in ("seeds_per_lb", *_DAYS):
        mark_stale(visit__plot__property=instance.property_id, kind__in=("stand", "growth"))


def machine_known_otherwise(sender, instance, created, **_):
    """Its rows may be another distance apart."""
    if not created:
        mark_stale(kind="stand", planting__in=Planting.objects.filter(records__machine=instance))


def ground_known_otherwise(sender, plot_ids, **_):
    """The plots have other acres: a patch is another share of them."""
    mark_stale(visit__plot__in=plot_ids, kind__in=("weeds", "dry_matter"))


def follow_what_is_known():
    """Connect what figures rest on."""
    acreage_changed.connect(ground_known_otherwise, dispatch_uid="figures, acres")
    for receiver, senders in (
        (planting_saved, (Planting,)),
        (seed_known_otherwise, (Lot, LotTest)),
        (species_known_otherwise, (SpeciesOverride,)),
        (machine_known_otherwise, (Machine,)),
    ):
        for sender in senders:
            post_save.connect(
                receiver, sender=sender, dispatch_uid=f"figures, {receiver.__name__}, {sender.__name__}"
            )


@transaction.atomic
def _remake(older, most):
    by_property = defaultdict(list)
    found = dict(Reading.objects.filter(older).values_list("pk", "visit__plot")[:most])
    lock_plots(found.values())
    rows = Reading.objects.filter(older, pk__in=found).select_related("visit__plot__property")
    for reading in rows.select_for_update(of=("self",)):
        by_property[reading.visit.plot.property].append(reading)
    for property, readings in by_property.items():
        days = {reading.pk: _plot_and_day(reading) for reading in readings}
        known = facts_at(property, set(days.values()))
        changed = []
        for reading in readings:
            before = reading.figures
            reading.planting_id, facts = known[days[reading.pk]]
            figures_for(reading, facts)
            changed += [reading] if reading.counts and reading.figures != before else []
        Reading.objects.bulk_update(readings, ["planting", "figures", "figures_by"])
        for reading in changed:
            consider(reading)
    return sum(map(len, by_property.values()))


def _plot_and_day(reading):
    return reading.visit.plot_id, timezone.localdate(reading.visit.visited_at)
