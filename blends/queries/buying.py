"""What is to be bought for an order: by the way to buy that was taken, else by the offers chosen for its lines."""

from decimal import Decimal
from typing import NamedTuple

from blends.calc.pack_price import price_for_packs
from blends.models import Blend, Offer, Species, Supplier
from blends.queries.substitutions import standing_plan
from config.errors import Conflict


class BuyLine(NamedTuple):
    """So many packs of one offer; `price_usd` is what each of them costs at that number."""

    supplier: Supplier
    offer: Offer
    packs: int
    price_usd: Decimal
    item: Species | Blend

    @property
    def lb(self):
        """[bulk lb]"""
        return self.packs * self.offer.pack_lb

    @property
    def goods_usd(self):
        return self.packs * self.price_usd


def plan_lines(plan):
    """What a way to buy buys, by supplier and then by seed; two queries.

    Parameters
    ----------
    plan : BuyingPlan
        `found["lines"]` holds {"offer_id", "packs", "price_usd"} for each offer of which something is bought.

    Returns
    -------
    list of BuyLine
        Empty where nothing was found or nothing has to be bought.
    """
    rows = {row["offer_id"]: row for row in plan.found.get("lines", [])}
    offers = Offer.objects.filter(pk__in=rows).select_related("supplier", "species", "blend")
    lines = [
        BuyLine(
            offer.supplier,
            offer,
            rows[offer.pk]["packs"],
            Decimal(rows[offer.pk]["price_usd"]),
            offer.species or offer.blend,
        )
        for offer in offers
    ]
    return sorted(lines, key=_by_supplier_and_seed)


def lines_to_buy(order):
    """What purchase orders are made from: the way to buy that was taken, else the order's own choices.

    Parameters
    ----------
    order : SeedOrder

    Returns
    -------
    list of BuyLine
        Lines of which nothing has to be bought, or for which no offer is chosen, are left out.

    Raises
    ------
    Conflict
        The order's figures are being computed again, or have changed since the way to buy was taken.
    """
    plan = standing_plan(order)
    if plan is not None:
        if plan.inputs_version != order.inputs_version:
            raise Conflict(
                f"The order has changed since the way to buy of {plan.created_at:%Y-%m-%d} was taken; look for the "
                "cheapest way again, or go back to your own choices."
            )
        return plan_lines(plan)
    if order.is_stale:
        raise Conflict("The figures of this order are being computed again; ask again in a moment.")
    rows = order.orderlines.filter(offer__isnull=False, packs__gt=0)
    rows = rows.select_related("species", "blend", "offer__supplier").prefetch_related("offer__breaks")
    lines = []
    for row in rows:
        breaks = [(each.from_packs, each.price_usd) for each in row.offer.breaks.all()]
        price_usd = price_for_packs(row.packs, row.offer.price_usd, breaks)
        lines.append(BuyLine(row.offer.supplier, row.offer, row.packs, price_usd, row.item))
    return sorted(lines, key=_by_supplier_and_seed)


def _by_supplier_and_seed(line):
    return line.supplier.name.casefold(), line.supplier.pk, str(line.item).casefold(), line.offer.pk
