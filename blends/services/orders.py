"""The seed order: its terms, its choices, and its figures, which are computed behind the scenes."""

import logging

import numpy as np
from django.db import connection, transaction
from django.db.models import F, Q
from django.utils import timezone

from blends.access import species_rows
from blends.calc.money import from_cents
from blends.calc.needs import seed_order
from blends.models import OrderChoice, OrderLine, Planting, Season, SeedOrder
from blends.queries.offers import is_expired
from blends.queries.order_inputs import order_inputs
from blends.queries.versions import version_ids
from blends.services.stale import mark_stale
from config.errors import Refused, refuse
from plots.services.rows import save_clean

logger = logging.getLogger(__name__)
CHUNK = 1000  # rows in one statement


@transaction.atomic
def set_terms(*, order, overage_pct, assumed_purity_pct, assumed_germination_pct):
    """The overage, and the tag that is assumed until a chosen offer brings one. [%]

    Raises
    ------
    Refused
        A percentage outside 0 to 100; an assumed purity or germination of 0.
    """
    terms = {
        "overage_pct": overage_pct,
        "assumed_purity_pct": assumed_purity_pct,
        "assumed_germination_pct": assumed_germination_pct,
    }
    row = SeedOrder.objects.select_for_update().get(pk=order.pk)
    for field, value in terms.items():
        if value == 0 and field != "overage_pct":
            label = SeedOrder._meta.get_field(field).verbose_name
            refuse(field, f"{label} is 0; accepted is above 0 to 100.")
        setattr(row, field, value)
    save_clean(row)
    mark_stale([row.pk])
    order.refresh_from_db()
    return order


@transaction.atomic
def choose(*, order, species=None, blend=None, offer=None, on_hand_lb=None):
    """The offer that one item of the order is bought from, and the pounds already in the shed.

    Parameters
    ----------
    order : SeedOrder
    species, blend : Species or Blend
        The item: one of the two.
    offer : Offer or None
        None where nothing is chosen yet.
    on_hand_lb : Decimal or None
        The person's own figure; None is what the stock has. [bulk lb]

    Raises
    ------
    Refused
        A species, blend or offer of another property; an offer of something else, withdrawn, expired or of an
        archived supplier; pounds below 0.
    """
    property = order.season.property
    _check_item(property, species, blend)
    choice = OrderChoice.objects.filter(order=order, species=species, blend=blend).first()
    choice = choice or OrderChoice(order=order, species=species, blend=blend)
    if offer is not None and offer.pk != choice.offer_id:
        if offer.property_id != property.pk or not _is_offer_of(offer, species, blend):
            refuse("offer", f"Offer {offer.pk} is not an offer of {species or blend} on this property.")
        if offer.is_withdrawn:
            refuse("offer", f"The offer “{offer}” has been withdrawn; choose another.")
        if is_expired(offer, timezone.localdate()):
            refuse("offer", f"The offer “{offer}” was valid until {offer.valid_until}; choose another.")
        if offer.supplier.is_archived:
            refuse("offer", f"{offer.supplier} is archived; bring it back, or choose another's offer.")
    choice.offer = offer
    choice.on_hand_lb = on_hand_lb
    choice = save_clean(choice)
    mark_stale([order.pk])
    return choice


def recompute_order(order_id):
    """Compute the figures of a stale order and store them. Running it again changes nothing.

    The inputs' version is read before the inputs and stored with the figures: a change in between has
    raised it by then, and the order stays stale.
    """
    order = SeedOrder.objects.select_related("season").filter(pk=order_id).first()
    if order is None or not order.is_stale:
        return
    inputs = order_inputs(order)
    result = None if inputs.problems else seed_order(*inputs.tables, inputs.overage_fraction)
    with transaction.atomic():
        # The season first, as whoever assigns or records: they hold plantings, which are written below, and then orders.
        Season.objects.select_for_update(of=("self",)).get(pk=order.season_id)
        locked = SeedOrder.objects.select_for_update().get(pk=order_id)
        if not locked.computed_version < order.inputs_version <= locked.inputs_version:
            return  # another worker has stored these figures or newer ones
        locked.orderlines.all().delete()
        if result is not None:
            OrderLine.objects.bulk_create(_lines(locked, inputs, result.items))
        _store_costs(order.season_id, inputs, result)
        _store_totals(locked, order.inputs_version, inputs, result)


def recompute_stale():
    """Compute whatever is stale, whatever became of its message. One that fails does not stop the others."""
    stale = SeedOrder.objects.exclude(computed_version=F("inputs_version")).values_list("pk", flat=True)
    for order_id in list(stale):
        try:
            recompute_order(order_id)
        except Exception:
            logger.exception("Order %s could not be computed", order_id)


def _check_item(property, species, blend):
    if (species is None) == (blend is None):
        raise Refused("A choice is for one item: a species, or a bought mix.")
    if species is not None and not species_rows(property).filter(pk=species.pk).exists():
        refuse("species", f"Species {species.pk} is not in this property's list.")
    if blend is not None and (blend.property_id != property.pk or not blend.is_bought):
        refuse("blend", f"Blend {blend.pk} is not a bought mix of this property.")


def _is_offer_of(offer, species, blend):
    if species is not None:
        return offer.species_id == species.pk
    return offer.blend_id in version_ids(blend.property, [blend])[blend.pk]


def _lines(order, inputs, needs):
    lines = []
    used_usd, bought_usd = needs.used_usd, needs.bought_usd
    for i, item in enumerate(inputs.items):
        lines.append(
            OrderLine(
                order=order,
                species_id=item.species_id,
                blend_id=item.blend_id,
                offer=item.offer,
                pure_live_fraction=item.pure_live_fraction,
                is_pls_assumed=item.is_pls_assumed,
                on_hand_lb=float(item.on_hand_lb),
                planted_lb=needs.planted_lb[i],
                needed_lb=needs.needed_lb[i],
                to_buy_lb=needs.to_buy_lb[i],
                packs=_known(needs.packs[i], int),
                bought_lb=_known(needs.bought_lb[i], float),
                left_over_lb=_known(needs.left_over_lb[i], float),
                cost_used_usd=used_usd[i],
                cost_bought_usd=bought_usd[i],
            )
        )
    return lines


def _known(value, kind):
    return None if np.isnan(value) else kind(value)


def _store_costs(season_id, inputs, result):
    """Each planting's part of the costs. Rows whose cents have not changed are not written."""
    has_cost = Q(cost_used_usd__isnull=False) | Q(cost_bought_usd__isnull=False)
    with_cost = Planting.objects.filter(has_cost, season=season_id)
    none_usd = {"cost_used_usd": None, "cost_bought_usd": None}
    if result is None:
        with_cost.update(**none_usd)
        return
    with_cost.filter(Q(is_fallow=True) | Q(plot__is_archived=True, state=Planting.State.PLANNED)).update(
        **none_usd
    )
    now = np.column_stack([result.plantings.used_cents, result.plantings.bought_cents])
    same = (now == inputs.stored_cents) | (np.isnan(now) & np.isnan(inputs.stored_cents))
    changed = [
        (from_cents(now[row, 0]), from_cents(now[row, 1]), int(inputs.planting_ids[row]))
        for row in np.flatnonzero(~same.all(axis=1))
    ]
    for start in range(0, len(changed), CHUNK):
        _update_costs(changed[start : start + CHUNK])


def _update_costs(rows):
    """Write (used, bought, id) rows. bulk_update, with a CASE branch for each, takes 25 times as long."""
    values = ", ".join(["(%s, %s, %s)"] * len(rows))
    sql = f"""
        UPDATE {Planting._meta.db_table}
        SET cost_used_usd = CAST(new.column1 AS numeric), cost_bought_usd = CAST(new.column2 AS numeric)
        FROM (VALUES {values}) AS new
        WHERE id = new.column3
    """  # noqa: S608 (nothing in it but names and placeholders)
    with connection.cursor() as cursor:
        cursor.execute(sql, [value for row in rows for value in row])


def _store_totals(order, version, inputs, result):
    order.computed_version = version
    order.computed_at = timezone.now()
    order.problems = inputs.problems
    order.acres = order.cost_used_usd = order.cost_bought_usd = None
    if result is not None:
        total = result.plantings.total
        order.acres = float(total.acres[0])
        order.cost_used_usd, order.cost_bought_usd = total.used_usd[0], total.bought_usd[0]
    order.save(
        update_fields=[
            "computed_version",
            "computed_at",
            "problems",
            "acres",
            "cost_used_usd",
            "cost_bought_usd",
        ]
    )
