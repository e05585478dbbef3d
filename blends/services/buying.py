"""Looking for the cheapest way to buy an order, in the background, and taking it.

`BuyingPlan.asked` is {"most_suppliers", "swaps": [[species_id, instead_id], …], "seconds"}. `found`, once the search has
ended, is made by services/buying_words.py; until then it has "so_far_usd" and nothing else.
"""

import time

from django.db import transaction
from django.utils import timezone

from blends.access import species_rows
from blends.models import BuyingPlan, OrderChoice, Substitution
from blends.queries.buying_problem import is_out_of_date, problem_of
from blends.queries.substitutions import standing_plan
from blends.services.buying_words import as_found
from blends.services.stale import held_order, mark_stale
from blends.services.substitutions import substitute, take_back_substitution, why_not
from blends.solving.bounded import Cancelled as SearchCancelled
from blends.solving.bounded import find
from config.errors import Conflict, Refused, refuse
from plots.models import Job
from plots.services.jobs import cancel_job, start_job
from plots.services.progress import Cancelled, beat, look_for_cancel
from plots.services.rows import save_clean

KIND = "buying"
SECONDS, MOST_SECONDS, MOST_SUPPLIERS = 20, 300, 99
_LOOK_EVERY_S = 1.0
_ENDED = {
    "late": "The search took longer than it may; ask for less, or allow fewer swaps.",
    "memory": "The search took more memory than it may; allow fewer swaps.",
    "fault": "The search stopped because of a fault here, which has been logged.",
}


@transaction.atomic
def ask_for_plan(*, order, user, most_suppliers=None, swaps=(), seconds=SECONDS, send=True):
    """Have the cheapest way to buy the order looked for in the background.

    Parameters
    ----------
    order : SeedOrder
    user : User
    most_suppliers : int or None
        None is no limit.
    swaps : iterable of (int, int)
        Ids of a species and of one that may be bought and sown instead of it.
    seconds : int
        After which the best so far is taken for the answer.

    Returns
    -------
    BuyingPlan

    Raises
    ------
    Refused
        A limit or a time out of range; a swap that cannot be made; something stops the order.
    Conflict
        A search for this order is running already.
    """
    order = held_order(order.pk)
    if most_suppliers is not None and not 1 <= most_suppliers <= MOST_SUPPLIERS:
        refuse(
            "most_suppliers",
            f"{most_suppliers} suppliers at most; accepted is 1 to {MOST_SUPPLIERS}, or no limit.",
        )
    if not 1 <= seconds <= MOST_SECONDS:
        refuse("seconds", f"{seconds} seconds; accepted is 1 to {MOST_SECONDS}.")
    swaps = _checked_swaps(order, swaps)
    running = order.plans.filter(job__state__in=[Job.State.WAITING, Job.State.RUNNING])
    if running.exists():
        raise Conflict("A search for this order is running already; wait for it, or cancel it.")
    asked = {"most_suppliers": most_suppliers, "swaps": swaps, "seconds": seconds}
    property = order.season.property
    problem_of(order, most_suppliers=most_suppliers, swaps=swaps)  # says what stops it
    job = start_job(property=property, kind=KIND, user=user, steps_total=1, send=send)
    plan = BuyingPlan(order=order, job=job, inputs_version=order.inputs_version, asked=asked, created_by=user)
    return save_clean(plan)


def _checked_swaps(order, swaps):
    found = sorted({(int(species_id), int(instead_id)) for species_id, instead_id in swaps})
    rows = species_rows(order.season.property).in_bulk({pk for pair in found for pk in pair})
    for pair in found:
        for pk in pair:
            if pk not in rows:
                refuse("swaps", f"Species {pk} is not in this property's list.")
        why = why_not(order, rows[pair[0]], rows[pair[1]])
        if why:
            refuse("swaps", why)
    return [list(pair) for pair in found]


def find_ways(property_id, *, job):
    """The job's search. Safe to run twice: the second one begins anew, or finds it done."""
    rows = BuyingPlan.objects.select_related("order__season__property")
    plan = rows.filter(job=job, order__season__property=property_id).first()
    if plan is None or plan.found.get("state"):
        return
    order = plan.order
    version = order.inputs_version
    asked = problem_of(order, most_suppliers=plan.asked["most_suppliers"], swaps=plan.asked["swaps"])
    look = _Looking(job, plan)
    raw = find(asked.problem, seconds=plan.asked["seconds"], look=look)
    look.say(raw)  # a search may be over before it is looked at again
    found = as_found(asked, raw) if raw.get("main") else {}
    BuyingPlan.objects.filter(pk=plan.pk).update(found=found, inputs_version=version)
    if raw["ended"] == "cancelled":
        raise Cancelled
    if raw["ended"] != "done" and not found:
        raise Refused(_ENDED[raw["ended"]])


class _Looking:
    """Says that the search is alive and how far it is, and ends it when it is cancelled."""

    def __init__(self, job, plan):
        self.job, self.plan, self.next, self.said = job, plan, 0.0, None

    def __call__(self, found):
        if time.monotonic() < self.next:
            return
        self.next = time.monotonic() + _LOOK_EVERY_S
        self.say(found)
        try:
            look_for_cancel(self.job)
        except Cancelled:
            raise SearchCancelled from None

    def say(self, found):
        if found.get("steps", 1) != self.job.steps_total:
            self.job.steps_total = found["steps"]
            Job.objects.filter(pk=self.job.pk).update(steps_total=found["steps"])
        beat(self.job, found.get("steps_done", 0))
        so_far = (found.get("main") or {}).get("total_usd")
        if so_far != self.said:
            self.said = so_far
            BuyingPlan.objects.filter(pk=self.plan.pk).update(found={"so_far_usd": so_far})


def cancel_search(plan):
    """End the search; what it has found by then stays, with its gap."""
    if plan.job is not None:
        cancel_job(plan.job)
    return plan


@transaction.atomic
def take_plan(*, plan, user):
    """Buy the order as the plan has it: its offers become the order's choices, its swaps the order's substitutions.

    An item that several offers share shows the one with most live pounds; the figures and the purchase orders go by the
    whole plan (`queries.buying.plan_lines`). What was chosen before is kept for `back_to_own_choices`.

    Raises
    ------
    Conflict
        The search has not ended, found nothing, or is out of date.
    """
    order = held_order(plan.order_id)
    plan = BuyingPlan.objects.select_related("job").get(pk=plan.pk)
    plan.order = order
    if plan.job is not None and not plan.job.is_finished:
        raise Conflict("The search has not ended; cancel it to take the best that it has found.")
    if "lines" not in plan.found:
        raise Conflict("This search found no way to buy; there is nothing to take.")
    if is_out_of_date(plan):
        raise Conflict("The order or what is offered has changed since this way was found; ask again.")
    standing = standing_plan(order)
    if standing is not None and standing.pk == plan.pk:
        return plan
    plan.found["before"] = _before(order) if standing is None else standing.found.get("before")
    if standing is not None:
        _give_up(order, standing)
    for swap in plan.found["swaps"]:
        rows = species_rows(order.season.property).in_bulk([swap["species_id"], swap["instead_id"]])
        substitute(
            order=order,
            user=user,
            species=rows[swap["species_id"]],
            instead=rows[swap["instead_id"]],
            reason=f"As in the way to buy of {plan.created_at:%Y-%m-%d}",
        )
    most = {}
    for line in plan.found["lines"]:
        key = (line["species_id"], line["blend_id"])
        if key not in most or line["live_lb"] > most[key]["live_lb"]:
            most[key] = line
    for (species_id, blend_id), line in most.items():
        _choose(order, species_id, blend_id, line["offer_id"])
    mark_stale([order.pk])
    order.refresh_from_db(fields=["inputs_version"])
    plan.taken_at, plan.inputs_version = timezone.now(), order.inputs_version
    plan.save(update_fields=["found", "taken_at", "inputs_version"])
    return plan


@transaction.atomic
def back_to_own_choices(*, order):
    """Give up the way that was taken; the offers and substitutions that were chosen before it are chosen again."""
    order = held_order(order.pk)
    standing = standing_plan(order)
    if standing is None:
        return
    _give_up(order, standing)
    for row in (standing.found.get("before") or {}).get("choices", []):
        _choose(order, row["species_id"], row["blend_id"], row["offer_id"])
    mark_stale([order.pk])


def _give_up(order, plan):
    """Take back what taking the plan did beside the choices."""
    before = (plan.found.get("before") or {}).get("substitutions", [])
    for swap in plan.found.get("swaps", []):
        species = species_rows(order.season.property).get(pk=swap["species_id"])
        take_back_substitution(order=order, species=species)
    for row in before:
        Substitution.objects.get_or_create(
            order=order,
            species_id=row["species_id"],
            defaults={"instead_id": row["instead_id"], "reason": row["reason"]},
        )
    plan.taken_at = None
    plan.save(update_fields=["taken_at"])


def _before(order):
    return {
        "choices": list(order.orderchoices.values("species_id", "blend_id", "offer_id")),
        "substitutions": list(order.substitutions.values("species_id", "instead_id", "reason")),
    }


def _choose(order, species_id, blend_id, offer_id):
    OrderChoice.objects.update_or_create(
        order=order, species_id=species_id, blend_id=blend_id, defaults={"offer_id": offer_id}
    )
