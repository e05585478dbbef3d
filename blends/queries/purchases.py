"""Purchase orders with what they come to, and what of them has come."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import F, Prefetch, Q, Sum

from blends.calc.freight import freight_usd
from blends.models import Lot, PurchaseLine, PurchaseOrder, Receipt, StockEntry

_CAME = Q(entries__kind=StockEntry.Kind.RECEIVED, entries__is_taken_back=False)


@dataclass(frozen=True)
class LineFigures:
    """A line and what came of it.

    Attributes
    ----------
    line : PurchaseLine
    received_packs : Decimal
        A lot without packs counts by its pounds.
    received_lb : Decimal
        [bulk lb]
    """

    line: PurchaseLine
    received_packs: Decimal
    received_lb: Decimal

    @property
    def open_packs(self):
        """Packs that have not come; 0 where more came."""
        return max(self.line.packs - self.received_packs, Decimal(0))

    @property
    def over_packs(self):
        return max(self.received_packs - self.line.packs, Decimal(0))

    @property
    def next_packs(self):
        """Whole packs to expect with the next delivery."""
        return int(self.open_packs.to_integral_value("ROUND_CEILING"))


@dataclass(frozen=True)
class PurchaseFigures:
    """What a purchase order comes to. [USD, bulk lb]"""

    purchase: PurchaseOrder
    lines: list

    @property
    def lb(self):
        return sum((each.line.lb for each in self.lines), Decimal(0))

    @property
    def packs(self):
        return sum(each.line.packs for each in self.lines)

    @property
    def goods_usd(self):
        return sum((each.line.goods_usd for each in self.lines), Decimal("0.00"))

    @property
    def freight_usd(self):
        return self.purchase.freight_usd

    @property
    def total_usd(self):
        """None while the freight is not known."""
        return None if self.freight_usd is None else self.goods_usd + self.freight_usd

    @property
    def is_anything_open(self):
        return any(each.open_packs for each in self.lines)

    @property
    def state_by_receipts(self):
        """What a purchase order that was sent is by what has come of it."""
        if self.lines and not self.is_anything_open:
            return PurchaseOrder.State.RECEIVED
        if any(each.received_lb for each in self.lines):
            return PurchaseOrder.State.PART_RECEIVED
        return PurchaseOrder.State.SENT

    @property
    def below_least_usd(self):
        """By how much the goods miss the supplier's smallest order; None where they do not, or it has none."""
        least = self.purchase.supplier.min_order_usd
        return least - self.goods_usd if least is not None and self.goods_usd < least else None


def with_lines(rows):
    """Purchase orders with their lines, lots and pounds received, in three queries."""
    lots = Lot.objects.annotate(came_lb=Sum("entries__lb", filter=_CAME)).order_by("pk")
    lines = (
        PurchaseLine.objects.select_related("species", "blend", "offer__supplier")
        .prefetch_related("offer__breaks", Prefetch("lots", lots, to_attr="counted_lots"))
        .order_by("position", "pk")
    )
    return rows.select_related("supplier", "order__season").prefetch_related(
        Prefetch("lines", lines, to_attr="all_lines")
    )


def figures_of(purchase):
    """What a purchase order comes to; it may come from `with_lines`, or is read again."""
    if not hasattr(purchase, "all_lines"):
        purchase = with_lines(PurchaseOrder.objects.filter(pk=purchase.pk)).get()
    return PurchaseFigures(purchase, [_line_figures(line) for line in purchase.all_lines])


def _line_figures(line):
    packs, lb = Decimal(0), Decimal(0)
    for lot in line.counted_lots:
        came_lb = lot.came_lb or Decimal(0)
        if came_lb <= 0:
            continue
        lb += came_lb
        packs += lot.packs if lot.packs is not None else came_lb / line.pack_lb
    return LineFigures(line, packs, lb)


def purchases_of(property, *, season=None, state=""):
    """The property's purchase orders, the latest first; of a season or in a state where one is given."""
    rows = PurchaseOrder.objects.filter(property=property).order_by("-number")
    if season is not None:
        rows = rows.filter(order__season=season)
    if state:
        rows = rows.filter(state=state)
    return with_lines(rows)


def expected_freight(supplier, goods_usd, lb):
    """Freight by the supplier's terms as they are now; None where they are not known. [USD]"""
    return freight_usd(
        supplier.freight_kind,
        goods_usd,
        lb,
        charge_usd=supplier.freight_usd,
        usd_per_lb=supplier.freight_usd_per_lb,
        pct=supplier.freight_pct,
        free_from_usd=supplier.freight_free_from_usd,
    )


def ordered_before(order):
    """What other documents of the order have bought already.

    A closed one counts by what came, the others by what was ordered.

    Returns
    -------
    (dict, dict)
        Packs by the offer's id, and pounds by ("species" or "blend", id).
    """
    rows = PurchaseOrder.objects.filter(order=order).exclude(state=PurchaseOrder.State.DRAFT)
    by_offer, by_item = {}, {}
    for purchase in with_lines(rows):
        for each in figures_of(purchase).lines:
            is_closed = purchase.state == PurchaseOrder.State.CLOSED
            packs = int(each.received_packs) if is_closed else max(each.line.packs, int(each.received_packs))
            lb = each.received_lb if is_closed else max(each.line.lb, each.received_lb)
            by_offer[each.line.offer_id] = by_offer.get(each.line.offer_id, 0) + packs
            by_item[item_key(each.line)] = by_item.get(item_key(each.line), Decimal(0)) + lb
    return by_offer, by_item


def over_delivered(purchase):
    """Sentences on what came too much of a purchase order; more than ordered is said, not refused."""
    return [
        f"{each.line.description}: {each.received_packs.normalize():f} packs came, {each.line.packs} were ordered."
        for each in figures_of(purchase).lines
        if each.over_packs
    ]


def item_key(row):
    return ("species", row.species_id) if row.species_id else ("blend", row.blend_id)


def receipts_of(property):
    """Deliveries with their lots and what of each came and is on hand; two queries."""
    lots = (
        Lot.objects.select_related("species", "blend", "purchase_line__offer")
        .annotate(came_lb=Sum("entries__lb", filter=_CAME))
        .order_by("pk")
    )
    return (
        Receipt.objects.filter(property=property)
        .select_related("supplier", "purchase", "created_by")
        .prefetch_related(Prefetch("lots", lots, to_attr="all_lots"))
        .order_by(F("received_on").desc(), "-pk")
    )


def is_undone(receipt):
    """Whether the whole delivery was taken back; `receipt` comes from `receipts_of`."""
    return not any(lot.came_lb for lot in receipt.all_lots)
