"""What an order sows instead of what its blends name, and what is written down when it is placed."""

from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction

from blends.access import species_rows
from blends.models import OrderChoice, Substitution
from blends.queries.order_inputs import order_inputs
from blends.queries.substitutions import seeds_per_lb, standing_plan
from blends.services.stale import held_order, mark_stale
from config.errors import refuse
from plots.services.rows import save_clean

_HUNDREDTH = Decimal("0.01")


@transaction.atomic
def substitute(*, order, user, species, instead, reason):
    """Buy and sow one species instead of another in this order, at equal live seeds per square foot.

    Parameters
    ----------
    order : SeedOrder
    user : User
    species, instead : Species
        What the blends name, and what stands in for it.
    reason : str
        In the person's words.

    Returns
    -------
    Substitution
        The one there was for the species is changed.

    Raises
    ------
    Refused
        Species of another property or of different functional groups, the same species, one whose seeds per pound are
        not known, one that is itself replaced or stands in for another, no reason.
    """
    order = held_order(order.pk)
    why = why_not(order, species, instead)
    if why:
        refuse("instead", why)
    if not reason.strip():
        refuse("reason", "A substitution needs a reason in words: out of stock, cheaper, hardier.")
    row = Substitution.objects.filter(order=order, species=species).first()
    row = row or Substitution(order=order, species=species)
    row.instead, row.reason, row.created_by = instead, reason.strip(), user
    save_clean(row)
    mark_stale([order.pk])
    return row


def why_not(order, species, instead):
    """Why one species cannot stand in for the other, in a sentence; empty where it can."""
    property = order.season.property
    for row in (species, instead):
        if not species_rows(property).filter(pk=row.pk).exists():
            return f"Species {row.pk} is not in this property's list."
    if species.pk == instead.pk:
        return f"{species} cannot stand in for itself; choose another species."
    if species.group != instead.group:
        return (
            f"{instead} is a {instead.get_group_display().lower()} and {species} a {species.get_group_display().lower()}; "
            "accepted is a species of the same functional group."
        )
    known = seeds_per_lb(property, [species.pk, instead.pk])
    for row in (species, instead):
        if row.pk not in known:
            return (
                f"Nobody has said how many seeds of {row} a pound has, so equal seeds cannot be worked out."
            )
    others = order.substitutions.exclude(species=species)
    if others.filter(species=instead).exists():
        return f"{instead} is itself replaced in this order; choose another species."
    if others.filter(instead=species).exists():
        return f"{species} stands in for another species in this order; take that back first."
    return ""


@transaction.atomic
def take_back_substitution(*, order, species):
    """Sow the species itself again; nothing happens where nothing stands in for it."""
    order = held_order(order.pk)
    if Substitution.objects.filter(order=order, species=species).delete()[0]:
        mark_stale([order.pk])


@transaction.atomic
def freeze_on_hand(order):
    """Write down what the stock had for every item, when the first purchase order is sent.

    From then on the order does not follow the seed being received and sown. A figure that a person has given stays.
    """
    order = held_order(order.pk)
    plan = standing_plan(order)
    is_current = plan is not None and plan.inputs_version == order.inputs_version
    for item in order_inputs(order).items:
        if item.stock is None:
            continue
        choice, _ = OrderChoice.objects.get_or_create(
            order=order, species_id=item.species_id, blend_id=item.blend_id
        )
        choice.on_hand_lb = Decimal(repr(item.on_hand_lb)).quantize(_HUNDREDTH, ROUND_HALF_UP)
        choice.save(update_fields=["on_hand_lb"])
    mark_stale([order.pk])
    if is_current:  # what it buys stays what is bought
        order.refresh_from_db(fields=["inputs_version"])
        plan.inputs_version = order.inputs_version
        plan.save(update_fields=["inputs_version"])
