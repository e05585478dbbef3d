"""Putting what a season's plan asks for on the work list, once, and letting it follow the plan."""

from types import SimpleNamespace

from django.core.cache import cache
from django.db import transaction

from fieldlog.models import WorkItem
from fieldlog.queries.plan_dates import plan_work
from fieldlog.services.work import set_state
from plots.models import Property
from plots.services.earlier import keep_earlier
from plots.services.locking import lock_property
from plots.services.rows import save_clean

THE_PLAN = SimpleNamespace(shown_name="The plan", pk=None)
FOLLOWED = ("title", "how", "tools", "starts_on", "due_on")
"""What follows the plan, each until a person changes it."""
EVERY_S = 600  # between two looks at a plan; the page looks at once when asked
State = WorkItem.State


@transaction.atomic
def follow_plan(*, property):
    """Let the work list have what the plans of a property ask for.

    An item appears once. It moves with the plan, save for what a person has changed of it; it is done when the book
    shows it done, and dropped when the plan has it no more. What a person has done or dropped stays so.

    Returns
    -------
    int
        Items that are new or another than before.
    """
    lock_property(property.pk)
    wanted = {each.key: each for each in plan_work(property)}
    rows = WorkItem.objects.filter(property=property).exclude(plan_key="")
    here = {row.plan_key: row for row in rows.select_for_update(of=("self",))}
    changed = 0
    for key, asked in wanted.items():
        if key in here:
            here[key].property = property
            changed += _follow(here[key], asked)
        elif not asked.is_done:
            save_clean(_item_of(property, asked), force_insert=True)
            changed += 1
    for key, item in here.items():
        if key not in wanted and item.state == State.OPEN and not _is_touched(item):
            _put(item, State.DROPPED, "The plan has it no more.")
            changed += 1
    return changed


def follow_plans():
    """`follow_plan` for every property, each at most once in ten minutes."""
    for property in Property.objects.filter(seasons__isnull=False).distinct():
        if cache.add(f"plan-work-{property.pk}", 1, EVERY_S):
            follow_plan(property=property)


def _item_of(property, asked):
    values = {name: getattr(asked, name) for name in FOLLOWED}
    values |= {"title": asked.title[:120], "how": asked.how[:2000]}
    return WorkItem(property=property, kind=asked.kind, plan_key=asked.key, **values)


def _follow(item, asked):
    if asked.is_done:
        if item.state != State.OPEN:
            return 0
        _put(item, State.DONE, "The book shows it done.")
        return 1
    changed = 0
    if item.state != State.OPEN:
        if not _is_plans_own(item):
            return 0
        _put(item, State.OPEN, "The plan asks for it again.")
        changed = 1
    theirs = {name for each in item.earlier if not each.get("by_plan") for name in each["was"]}
    fresh = _item_of(item.property, asked)
    moved = {name: getattr(fresh, name) for name in FOLLOWED if name not in theirs}
    if keep_earlier(item, THE_PLAN, moved):
        item.earlier[-1]["by_plan"] = True
        save_clean(item)
        changed = 1
    return changed


def _put(item, state, why):
    set_state(item, THE_PLAN, state, why)
    item.earlier[-1]["by_plan"] = True
    item.save(update_fields=["earlier"])


def _is_plans_own(item):
    """Whether it was the plan that put it where it is."""
    last = next((each for each in reversed(item.earlier) if "state" in each["was"]), {})
    return bool(last.get("by_plan"))


def _is_touched(item):
    """Whether a person has taken it, changed it or worked on it."""
    return any(not each.get("by_plan") for each in item.earlier) or item.reports.exists()
