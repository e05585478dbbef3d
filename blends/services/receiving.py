"""Deliveries: what comes makes seed lots, and what it cost to bring is shared among them to the cent."""

from collections import Counter

from django.db import transaction
from django.utils import timezone

from blends.models import Lot, PurchaseOrder, Receipt, StockEntry
from blends.services import stock
from blends.services.purchases import follow_receipts, locked
from blends.services.received_lots import (
    correct_received,
    make_lot,
    receive_again,
    received,
    share,
)
from config.errors import Conflict, Refused, SwardbookError, refuse
from plots.services.rows import save_clean

DELIVERY_FIELDS = ("received_on", "invoice", "freight_usd", "note")
MOST_LOTS = 200
_RECEIVED = StockEntry.Kind.RECEIVED
_TAKEN = (PurchaseOrder.State.SENT, PurchaseOrder.State.PART_RECEIVED, PurchaseOrder.State.RECEIVED)


@transaction.atomic
def receive_delivery(
    *, property, user, received_on, rows, purchase=None, supplier=None, invoice="", freight_usd=None, note=""
):
    """Store a delivery: a lot for each row, its pounds in the ledger, its share of the freight.

    Parameters
    ----------
    property : Property
    user : User
    received_on : date
    rows : list of dict
        ROW_FIELDS. `line` of the purchase order, or a `species` or bought `blend`. `packs` or `lb` [bulk lb], or both;
        `goods_usd` left out is packs × the line's price, without a line not known. The tag as far as it was read.
    purchase : PurchaseOrder or None
        None for seed that was not ordered here: opening stock, last year's rest, a neighbour's.
    supplier : Supplier or None
    invoice, note : str
    freight_usd : Decimal or None
        None while not known. [USD]

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        No rows, or a value that cannot be; `fields` names it as in "rows.0.lb".
    Conflict
        The purchase order was not sent yet, or is closed.
    """
    if not rows:
        refuse("rows", "Nothing is entered; a delivery has at least one lot.")
    if len(rows) > MOST_LOTS:
        refuse("rows", f"{len(rows)} lots are entered; at most {MOST_LOTS} are accepted in one delivery.")
    if purchase is not None:
        purchase = locked(purchase)
        if purchase.property_id != property.pk:
            refuse("", "That purchase order is of another property.")
        if purchase.state not in _TAKEN:
            act = "reopen it" if purchase.sent_on else "say that it was sent"
            raise Conflict(
                f"{purchase} is {purchase.get_state_display().lower()}; {act} before receiving it."
            )
        supplier = purchase.supplier
    elif supplier is not None and supplier.property_id != property.pk:
        refuse("supplier", "That supplier is of another property.")
    _check_day(received_on)
    receipt = save_clean(
        Receipt(
            property=property,
            purchase=purchase,
            supplier=supplier,
            received_on=received_on,
            invoice=invoice.strip(),
            freight_usd=freight_usd,
            note=note,
            created_by=user,
        )
    )
    lots = [_at_row(position, make_lot, receipt, row, user) for position, row in enumerate(rows)]
    share(receipt)
    if purchase is not None:
        follow_receipts(purchase, user, f"{receipt}: {_what_came(lots)}.")
    return receipt


@transaction.atomic
def add_lot(*, receipt, row, user):
    """One more lot of a delivery; the freight is shared anew."""
    receipt, purchase = _hold(receipt)
    lot = make_lot(receipt, row, user)
    share(receipt)
    if purchase is not None:
        follow_receipts(purchase, user, f"{receipt}: {_what_came([lot])} added.")
    return lot


@transaction.atomic
def correct_delivery(*, receipt, user, lots=(), **values):
    """Correct what was entered of a delivery; what it said before is kept, and the freight is shared anew.

    Parameters
    ----------
    receipt : Receipt
    user : User
    lots : list of dict
        `lot` and what of it is corrected: packs, lb, goods_usd, note, place, and the tag's fields.
    **values
        DELIVERY_FIELDS; what is left out stays.

    Raises
    ------
    Refused
        A value that cannot be.
    Conflict
        The delivery was taken back; more was used of a lot than it would have had.
    """
    unknown = values.keys() - set(DELIVERY_FIELDS)
    if unknown:
        raise Refused(
            f"“{min(unknown)}” is not a value of a delivery; accepted are {', '.join(DELIVERY_FIELDS)}."
        )
    receipt, purchase = _hold(receipt)
    if "received_on" in values:
        _check_day(values["received_on"])
    was = {name: getattr(receipt, name) for name, value in values.items() if getattr(receipt, name) != value}
    for name in was:
        setattr(receipt, name, values[name])
    save_clean(receipt)
    told = {f"delivery_{name}": None if before is None else str(before) for name, before in was.items()}
    for position, given in enumerate(lots):
        _at_row(position, correct_received, receipt, given, user)
    if "received_on" in was:
        for lot in receipt.lots.order_by("pk"):
            receive_again(lot, user, on=receipt.received_on)
    if told:
        _keep_on_lots(receipt, user, told)
    share(receipt, user)
    if purchase is not None and (was or lots):
        follow_receipts(purchase, user, f"{receipt} corrected.")
    return receipt


@transaction.atomic
def undo_delivery(*, receipt, user, reason):
    """Take a whole delivery back while nothing of its seed was used, counted or moved. Its lots stay to be read.

    Raises
    ------
    Refused
        No reason.
    Conflict
        Something of it was used, lost, counted or moved; or it was taken back already.
    """
    if not reason.strip():
        refuse("reason", "Taking back a delivery needs a reason in words: entered twice, another property's.")
    receipt, purchase = _hold(receipt)
    lots = list(receipt.lots.order_by("pk"))
    later = StockEntry.objects.filter(lot__in=lots, is_taken_back=False).exclude(kind=_RECEIVED).first()
    if later is not None:
        raise Conflict(
            f"{later.lot} has been worked with on {later.on} ({later.get_kind_display().lower()}); take that back first, or "
            "correct the pounds instead."
        )
    for lot in lots:
        stock.take_back(entries=received(lot), user=user, reason=reason.strip())
    if purchase is not None:
        follow_receipts(purchase, user, f"{receipt} taken back: {reason.strip().rstrip('.')}.")
    return receipt


def _hold(receipt):
    """The delivery and its purchase order, both held; a delivery that was taken back is not changed."""
    stock.lock_lots(Lot.objects.filter(receipt=receipt).values_list("pk", flat=True))
    receipt = (
        Receipt.objects.select_for_update(of=("self",))
        .select_related("supplier", "property")
        .get(pk=receipt.pk)
    )
    if not StockEntry.objects.filter(lot__receipt=receipt, kind=_RECEIVED, is_taken_back=False).exists():
        raise Conflict(f"{receipt} was taken back; enter it anew.")
    purchase = locked(receipt.purchase) if receipt.purchase_id else None
    return receipt, purchase


def _keep_on_lots(receipt, user, told):
    """What a delivery said before is kept on each of its lots, where everybody who reads them finds it."""
    entry = {"at": timezone.now().isoformat(), "by": user.shown_name, "was": told}
    for lot in receipt.lots.order_by("pk"):
        lot.earlier = [*lot.earlier, entry]
        lot.save(update_fields=["earlier"])


def _check_day(day):
    if not stock.EARLIEST <= day <= timezone.localdate():
        refuse("received_on", f"{day} is not accepted; a day from {stock.EARLIEST} to today is.")


def _at_row(position, act, *given):
    """Do something with a row, and say in a refusal which row it is."""
    try:
        return act(*given)
    except SwardbookError as error:
        error.fields = {
            f"rows.{position}.{name}": said for name, said in (error.fields or {"": [error.sentence]}).items()
        }
        raise


def _what_came(lots):
    count = Counter(str(lot.item) for lot in lots)
    return ", ".join(f"{name} in {number} lots" if number > 1 else name for name, number in count.items())
