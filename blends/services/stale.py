"""Which orders a change reaches, and how they come to be computed again.

A change of an input raises the order's `inputs_version` in the change's own transaction; that alone makes
the figures stale. The message that is sent on commit is only a hint to hurry: when it is lost, the sweep
finds the order by its versions.
"""

from django.db import transaction
from django.db.models import F

from blends.models import Planting, SeedOrder
from plots.models import Plot

CHUNK = 500  # ids in one statement


def mark_orders_stale(**filter):
    """Raise the inputs' version of the orders that `filter` (lookups on SeedOrder) finds.

    Call it inside the transaction that changes the input.
    """
    order_ids = list(SeedOrder.objects.filter(**filter).values_list("pk", flat=True).distinct())
    mark_stale(order_ids)


def mark_stale(order_ids):
    SeedOrder.objects.filter(pk__in=order_ids).update(inputs_version=F("inputs_version") + 1)
    for order_id in order_ids:
        compute_soon(order_id)


def mark_stock_changed(property_id):
    """What is on hand has changed: the orders follow of which nothing has been sent.

    Their rows are locked in the order of their ids, after the lots.
    """
    drafts = SeedOrder.objects.filter(season__property=property_id)
    drafts = drafts.exclude(purchase_orders__sent_on__isnull=False).order_by("pk")
    mark_stale(list(drafts.select_for_update(of=("self",)).values_list("pk", flat=True)))


def held_order(order_id):
    """The order as it is now, held until the transaction ends; its season and property are read and not held."""
    rows = SeedOrder.objects.select_for_update(of=("self",))
    return rows.select_related("season__property").get(pk=order_id)


def compute_soon(order_id):
    """Send the order's task when the transaction has been committed."""
    # robust: a broker that is away must not undo or fail what the person has done
    transaction.on_commit(lambda: _send(order_id), robust=True)


def on_acreage_changed(sender, plot_ids, **kwargs):
    """Receiver of the plots' signal: acres were measured or replaced, or a plot was archived or restored.

    What has been planted keeps the acres of its day, so only plots that are planned count.
    """
    plot_ids = sorted(plot_ids)
    order_ids = set()
    for start in range(0, len(plot_ids), CHUNK):
        plots = Plot.objects.filter(pk__in=plot_ids[start : start + CHUNK])
        # An assignment that is being stored holds its plots: wait for it, or its order would be missed.
        list(plots.order_by("pk").select_for_update().values_list("pk"))
        planned = Planting.objects.filter(plot__in=plots, state=Planting.State.PLANNED)
        order_ids.update(SeedOrder.objects.filter(season__plantings__in=planned).values_list("pk", flat=True))
    mark_stale(sorted(order_ids))


def _send(order_id):
    from blends.tasks import recompute_order  # the tasks call the services

    recompute_order.delay(order_id)
