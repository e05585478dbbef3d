"""What the rules make of readings: proposals, which come, make room for each other and go."""

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from blends.models import Planting
from fieldlog.models import Proposal, Reading, WorkItem
from fieldlog.rules import RULES
from fieldlog.rules.described import A_READING, Seen
from fieldlog.services.rule_settings import rules_of
from plots.services.rows import save_clean

SAME_STAND_DAYS = 200  # ours: readings of ground on which no planting is recorded
SAME_PLACE_DEG = 0.00015  # about 15 m: a patch that was pinned again
OPEN, GONE = Proposal.State.OPEN, Proposal.State.GONE
_KINDS = {kind for rule in RULES.values() for kind in rule.kinds}


def consider(reading):
    """Let every rule look at a reading that was stored, corrected or struck, in the transaction that does so.

    A reading may be considered again at any time: what was proposed is proposed once. A proposal that nobody has
    decided is gone when what it rests on no longer says so.

    Parameters
    ----------
    reading : Reading
        With its figures.
    """
    if reading.kind in _KINDS:
        with transaction.atomic():
            _consider(reading)


def consider_all(readings):
    """The same of readings of one property that were stored together: rules that look at a stand look once.

    Parameters
    ----------
    readings : list of Reading
        New ones, with their visits and plots.
    """
    readings = [each for each in readings if each.kind in _KINDS]
    if not readings:
        return
    rules = [each for each in rules_of(readings[0].visit.plot.property_id).values() if each.is_on]
    stands = {}
    with transaction.atomic():
        for reading in sorted(readings, key=lambda each: each.taken_at):
            plot = reading.visit.plot
            for here in (each for each in rules if reading.kind in each.rule.kinds):
                if here.rule.looks_at == A_READING:
                    _settle(here, plot, reading, [reading])
                else:
                    stand = reading.planting_id or f"{reading.taken_at:%Y-%m}"
                    stands[here.rule.key, plot.pk, stand] = (here, plot, reading)
        for here, plot, reading in stands.values():
            _settle(here, plot, reading, _of_the_stand(here.rule, plot, reading))


def _consider(reading):
    if not reading.counts:
        _withdraw(Proposal.objects.filter(reading=reading), "The reading was corrected or struck.")
    plot = reading.visit.plot
    for here in rules_of(plot.property_id).values():
        if not here.is_on or reading.kind not in here.rule.kinds:
            continue
        if here.rule.looks_at == A_READING:
            if reading.counts:
                _settle(here, plot, reading, [reading])
        else:
            _settle(here, plot, reading, _of_the_stand(here.rule, plot, reading))


@transaction.atomic
def forget_ended_stands():
    """Work that was proposed on stands which have been ended since is gone; what nobody can do any more asks nobody."""
    stands = [key for key, rule in RULES.items() if rule.looks_at != A_READING]
    rows = Proposal.objects.filter(
        state=OPEN, rule__in=stands, reading__planting__state=Planting.State.TERMINATED
    )
    _withdraw(rows.exclude(work_kind=""), "The stand has been ended.")


def _is_ended(planting):
    return planting is not None and planting.state == Planting.State.TERMINATED


def _of_the_stand(rule, plot, reading):
    rows = Reading.objects.filter(Reading.COUNTS, visit__plot=plot, kind__in=rule.kinds)
    if reading.planting_id is not None:
        rows = rows.filter(planting_id=reading.planting_id)
    else:
        near = timedelta(days=SAME_STAND_DAYS)
        span = (reading.taken_at - near, reading.taken_at + near)
        rows = rows.filter(planting__isnull=True, taken_at__range=span)
    return list(rows.select_related("planting").order_by("taken_at", "received_at"))


def _settle(here, plot, reading, readings):
    """Let what is proposed follow what the readings say."""
    said = here.rule.speaks([seen_of(each) for each in readings], here.thresholds) if readings else None
    if said and said.work_kind and here.rule.looks_at != A_READING and _is_ended(reading.planting):
        said = None  # work on a stand that is no more; what it says of the next blend holds
    if here.rule.looks_at == A_READING:
        standing = list(Proposal.objects.filter(rule=here.rule.key, reading=reading))
    else:
        standing = _standing(here.rule, plot, reading)
    if said is None:
        _withdraw(standing, "Later readings say otherwise.")
        return
    spoken = next(each for each in readings if each.pk == said.reading_id)
    if any(_is_decided(each, said, spoken, here.rule) for each in standing):
        return
    _withdraw([each for each in standing if each.reading_id != spoken.pk], "A later reading says more.")
    if here.rule.looks_at == A_READING and not _is_new_place(here.rule, plot, spoken, said):
        return
    _propose(here, plot, spoken, said)


def _standing(rule, plot, reading):
    """Proposals of the rule on the same stand."""
    rows = Proposal.objects.filter(rule=rule.key, plot=plot).select_related("reading")
    if reading.planting_id is not None:
        return list(rows.filter(reading__planting_id=reading.planting_id))
    near = timedelta(days=SAME_STAND_DAYS)
    span = (reading.taken_at - near, reading.taken_at + near)
    return list(rows.filter(reading__planting__isnull=True, reading__taken_at__range=span))


def _is_decided(proposal, said, spoken, rule):
    """Whether somebody has decided on this already. A first count decided upon leaves the second its say."""
    if proposal.state in (OPEN, GONE):
        return False
    return proposal.reading_id == spoken.pk or proposal.work_kind == said.work_kind


def _is_new_place(rule, plot, reading, said):
    """False where work at this place is on the list already, or a later reading speaks; an earlier one makes room."""
    if reading.lon is None:
        return True
    span = {
        "lon__range": (reading.lon - SAME_PLACE_DEG, reading.lon + SAME_PLACE_DEG),
        "lat__range": (reading.lat - SAME_PLACE_DEG, reading.lat + SAME_PLACE_DEG),
    }
    if WorkItem.objects.filter(plot=plot, kind=said.work_kind, state=WorkItem.State.OPEN, **span).exists():
        return False
    there = {f"reading__{name}": ends for name, ends in span.items()}
    standing = Proposal.objects.filter(plot=plot, rule=rule.key, state=OPEN, **there).exclude(reading=reading)
    same = [each for each in standing.select_related("reading") if _weed(each.reading) == _weed(reading)]
    if any(each.reading.taken_at > reading.taken_at for each in same):
        return False  # it came late, and has been seen again since
    _withdraw(same, "It was seen again later.")
    return True


def _weed(reading):
    return (reading.values.get("species") or {}).get("name")


def _propose(here, plot, reading, said):
    wanted = {
        "plot": plot,
        "thresholds": here.thresholds,
        "sentence": said.sentence[:500],
        "source": here.rule.rests_on[:300],
        "work_kind": said.work_kind,
        "due_on": said.due_on,
        "state": OPEN,
        "decided_at": None,
        "why": "",
    }
    found = (
        Proposal.objects.select_for_update(of=("self",)).filter(reading=reading, rule=here.rule.key).first()
    )
    if found is None:
        found = Proposal(property_id=plot.property_id, plot=plot, reading=reading, rule=here.rule.key)
    elif found.state not in (OPEN, GONE):
        return
    for name, value in wanted.items():
        setattr(found, name, value)
    save_clean(found, known=("property", "plot", "reading", "work_item", "decided_by"))


def _withdraw(proposals, why):
    """What nobody has decided is gone."""
    ids = [each.pk for each in proposals if each.state == OPEN]
    if ids:
        Proposal.objects.filter(pk__in=ids, state=OPEN).update(
            state=GONE, why=why, decided_at=timezone.now(), decided_by=None
        )


def seen_of(reading):
    """A reading as rules see it."""
    on = timezone.localtime(reading.taken_at).date()
    planted_on = reading.planting.planted_on if reading.planting_id else None
    return Seen(
        reading.pk,
        reading.kind,
        on,
        reading.values,
        {each["name"]: each for each in reading.figures},
        None if planted_on is None else (on - planted_on).days,
    )
