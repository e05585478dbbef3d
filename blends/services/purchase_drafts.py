"""Drafts of purchase orders: made from an order, one a supplier, and made anew when the order changes."""

from collections import defaultdict
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from blends.calc.pack_price import price_for_packs
from blends.models import PurchaseChange, PurchaseLine, PurchaseOrder
from blends.queries.buying import lines_to_buy
from blends.queries.purchases import expected_freight, item_key, ordered_before
from config.errors import Refused
from plots.services.locking import lock_property
from plots.services.rows import save_clean

LONGEST_DESCRIPTION = 200
NOTHING_LEFT = "Nothing is left to buy of it."


@transaction.atomic
def draft_purchases(*, order, user):
    """One draft for each supplier that the order buys from.

    A draft that is there already keeps its number, note and day and gets its lines anew. What documents that were sent
    buy already is not bought again; a draft of which nothing is left is closed.

    Parameters
    ----------
    order : SeedOrder
    user : User

    Returns
    -------
    list of PurchaseOrder
        By supplier.

    Raises
    ------
    Conflict
        The order's figures are being computed again.
    Refused
        Nothing is to be bought.
    """
    property = lock_property(order.season.property_id)
    # held, and before it is asked what is left to buy: somebody may be sending one of them
    drafts = {
        draft.supplier_id: draft
        for draft in PurchaseOrder.objects.filter(order=order, state=PurchaseOrder.State.DRAFT)
        .select_for_update(of=("self",))
        .select_related("supplier")
        .order_by("-number")
    }
    wanted = _still_to_buy(order, lines_to_buy(order))
    if not wanted and not drafts:
        raise Refused(
            "There is nothing to buy: every line has an offer with 0 packs to buy, no offer, or is on a document that was sent."
        )
    made = []
    for supplier, lines in wanted.items():
        draft = drafts.pop(supplier.pk, None) or new_draft(property, order, supplier, user)
        _replace_lines(draft, lines)
        made.append(draft)
    for draft in drafts.values():
        draft.state, draft.closed_because = PurchaseOrder.State.CLOSED, NOTHING_LEFT
        draft.save(update_fields=["state", "closed_because"])
        record(draft, user, f"Closed as a draft. {NOTHING_LEFT}")
    return made


@transaction.atomic
def start_purchase(*, order, supplier, user):
    """An empty draft, to be filled by hand.

    Raises
    ------
    Refused
        A supplier of another property.
    """
    property = lock_property(order.season.property_id)
    if supplier.property_id != property.pk:
        raise Refused(f"Supplier {supplier.pk} is not one of this property.")
    return new_draft(property, order, supplier, user)


def new_draft(property, order, supplier, user):
    """A draft under the next number of the locked property."""
    last = PurchaseOrder.objects.filter(property=property).aggregate(last=Max("number"))["last"]
    draft = PurchaseOrder(
        property=property,
        number=(last or 0) + 1,
        order=order,
        supplier=supplier,
        supplier_address=supplier.address,
        our_address=property.address,
        terms=property.order_terms,
        created_by=user,
    )
    save_clean(draft)
    record(draft, user, "Drafted.")
    return draft


def record(purchase, user, said, was=None):
    """Keep what became of a purchase order."""
    longest = PurchaseChange._meta.get_field("said").max_length
    return PurchaseChange.objects.create(purchase=purchase, by=user, said=said[:longest], was=was or {})


def line_for(purchase, offer, packs, position, price_usd=None):
    """A line with its own copy of what the offer says. The price follows from the packs where none is given."""
    return PurchaseLine(
        purchase=purchase,
        position=position,
        offer=offer,
        species_id=offer.species_id,
        blend_id=offer.blend_id,
        description=described(offer),
        packs=packs,
        pack_lb=offer.pack_lb,
        price_usd=price_of(offer, packs) if price_usd is None else price_usd,
        **{
            f"{name}_pct": getattr(offer, f"{name}_pct")
            for name in ("purity", "germination", "hard", "dormant")
        },
    )


def price_of(offer, packs):
    """What each of so many packs costs by the offer and its breaks. [USD]"""
    breaks = [(each.from_packs, each.price_usd) for each in offer.breaks.all()]
    return price_for_packs(packs, offer.price_usd, breaks)


def described(offer):
    """The words of a line: seed, variety, pack."""
    parts = [str(offer.species or offer.blend), offer.variety, f"{offer.pack_lb.normalize():f} lb"]
    return ", ".join(part for part in parts if part)[:LONGEST_DESCRIPTION]


def freight_by_terms(purchase):
    """Freight by the supplier's terms for what the lines are now. [USD, None not known]"""
    lines = list(purchase.lines.all())
    goods_usd = sum((line.goods_usd for line in lines), Decimal("0.00"))
    lb = sum((line.lb for line in lines), Decimal(0))
    return expected_freight(purchase.supplier, goods_usd, lb)


def set_expected_freight(purchase):
    purchase.freight_usd = freight_by_terms(purchase)
    purchase.save(update_fields=["freight_usd"])


def _replace_lines(draft, lines):
    draft.lines.all().delete()
    rows = [
        line_for(draft, each.offer, packs, at, each.price_usd if packs == each.packs else None)
        for at, (each, packs) in enumerate(lines)
    ]
    PurchaseLine.objects.bulk_create(rows)
    set_expected_freight(draft)


def _still_to_buy(order, lines):
    """{supplier: [(BuyLine, packs)]} without what was ordered before, of the same offer first."""
    packs_before, lb_before = ordered_before(order)
    left = []
    for line in lines:
        same = min(line.packs, packs_before.get(line.offer.pk, 0))
        packs_before[line.offer.pk] = packs_before.get(line.offer.pk, 0) - same
        key = item_key(line.offer)
        lb_before[key] = lb_before.get(key, Decimal(0)) - same * line.offer.pack_lb
        left.append((line, line.packs - same))
    wanted = defaultdict(list)
    for line, packs in left:
        # the same seed that was ordered in other packs
        key, pack_lb = item_key(line.offer), line.offer.pack_lb
        other = min(packs, int(max(lb_before.get(key, Decimal(0)), Decimal(0)) // pack_lb))
        lb_before[key] = lb_before.get(key, Decimal(0)) - other * pack_lb
        if packs - other > 0:
            wanted[line.supplier].append((line, packs - other))
    return wanted
