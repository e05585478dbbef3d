"""Purchase orders from draft to closed. What is changed after sending is kept beside what was said before."""

from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from blends.models import Offer, PurchaseOrder
from blends.queries.purchases import figures_of
from blends.services.purchase_drafts import (
    freight_by_terms,
    line_for,
    price_of,
    record,
    set_expected_freight,
)
from blends.services.stock import EARLIEST
from blends.services.substitutions import freeze_on_hand
from config.errors import Conflict, Refused, refuse
from plots.services.rows import save_clean

State = PurchaseOrder.State
DETAILS = ("note", "wanted_by", "terms", "freight_usd")
_OPEN = (State.SENT, State.PART_RECEIVED)
_SENT = (State.SENT, State.PART_RECEIVED, State.RECEIVED)
_LABELS = {
    "note": "The note",
    "wanted_by": "The day it is wanted by",
    "terms": "The terms",
    "freight_usd": "The freight",
}


def locked(purchase):
    """The purchase order as it is now, held until the transaction ends."""
    rows = PurchaseOrder.objects.select_for_update(of=("self",))
    return rows.select_related("supplier", "property", "order__season").get(pk=purchase.pk)


@transaction.atomic
def change_details(*, purchase, user, **values):
    """The note, the day, the terms and the freight; after sending each change is recorded.

    Parameters
    ----------
    purchase : PurchaseOrder
    user : User
    **values
        DETAILS; what is left out stays. `freight_usd` None is not known. [USD]

    Raises
    ------
    Refused
        A value that cannot be used.
    Conflict
        The purchase order is closed.
    """
    unknown = values.keys() - set(DETAILS)
    if unknown:
        raise Refused(
            f"“{min(unknown)}” is not a detail of a purchase order; accepted are {', '.join(DETAILS)}."
        )
    purchase = locked(purchase)
    _check_not_closed(purchase)
    was = {
        name: getattr(purchase, name) for name, value in values.items() if getattr(purchase, name) != value
    }
    for name in was:
        setattr(purchase, name, values[name])
    save_clean(purchase)
    if purchase.state != State.DRAFT:
        for name, before in was.items():
            said = f"{_LABELS[name]}: {_shown(getattr(purchase, name))}, before {_shown(before)}."
            record(purchase, user, said, {name: _plain(before)})
    return purchase


@transaction.atomic
def change_line(*, line, user, packs, price_usd=None):
    """Other packs, or another price a pack; after sending the change is recorded.

    Parameters
    ----------
    line : PurchaseLine
    user : User
    packs : int
        0 takes the line off.
    price_usd : Decimal or None
        Agreed for each pack; None lets the price follow the packs, as the offer's price breaks have it. [USD]

    Raises
    ------
    Refused
        Packs or a price that cannot be.
    Conflict
        The purchase order is closed; a line is taken off of which something has come.
    """
    purchase = locked(line.purchase)
    _check_not_closed(purchase)
    line = purchase.lines.select_related("offer").get(pk=line.pk)
    if packs == 0:
        return _take_off(purchase, line, user)
    was_by_terms = _is_freight_by_terms(purchase)
    before = line.packs, line.price_usd
    if price_usd is None:
        is_by_offer = line.price_usd == price_of(line.offer, line.packs)
        price_usd = price_of(line.offer, packs) if is_by_offer else line.price_usd
    line.packs, line.price_usd = packs, price_usd
    if before == (line.packs, line.price_usd):
        return line
    save_clean(line)
    if purchase.state != State.DRAFT:
        parts = []
        if before[0] != packs:
            parts.append(f"{packs} packs, before {before[0]}")
        if before[1] != price_usd:
            parts.append(f"{price_usd:.2f} USD a pack, before {before[1]:.2f}")
        was = {"packs": before[0], "price_usd": str(before[1])}
        record(purchase, user, f"{line.description}: {'; '.join(parts)}.", {"line": line.pk} | was)
    _settle(purchase, was_by_terms)
    return line


@transaction.atomic
def add_line(*, purchase, offer, packs, user, price_usd=None):
    """One more line, of an offer of the same supplier; after sending it is recorded.

    Raises
    ------
    Refused
        An offer of another supplier or property, a withdrawn one, one that has a line already; packs that cannot be.
    Conflict
        The purchase order is closed.
    """
    purchase = locked(purchase)
    _check_not_closed(purchase)
    offer = (
        Offer.objects.select_related("species", "blend")
        .filter(pk=offer.pk, property=purchase.property)
        .first()
    )
    if offer is None or offer.supplier_id != purchase.supplier_id:
        refuse("offer_id", f"That is no offer of {purchase.supplier}, to whom this purchase order goes.")
    if offer.is_withdrawn:
        refuse("offer_id", f"The offer “{offer}” has been withdrawn; choose another.")
    if purchase.lines.filter(offer=offer).exists():
        refuse("offer_id", f"“{offer}” has a line already; change its packs.")
    was_by_terms = _is_freight_by_terms(purchase)
    last = purchase.lines.order_by("position").last()
    line = save_clean(line_for(purchase, offer, packs, last.position + 1 if last else 0, price_usd))
    if purchase.state != State.DRAFT:
        record(purchase, user, f"{line.description}: {packs} packs added at {line.price_usd:.2f} USD a pack.")
    _settle(purchase, was_by_terms)
    return line


@transaction.atomic
def send_purchase(*, purchase, user, on=None):
    """Say that it was sent: from now on every change is recorded. Addresses are copied as they are today.

    What the seed order has on hand by its lots is written down, so that it does not follow the seed being used.

    Raises
    ------
    Refused
        No lines; a day in the future.
    Conflict
        It is no draft.
    """
    purchase = locked(purchase)
    _check_state(purchase, (State.DRAFT,), "sent")
    on = on or timezone.localdate()
    if on > timezone.localdate():
        refuse("sent_on", f"{on} is in the future; accepted is today or a day before.")
    if on < EARLIEST:
        refuse("sent_on", f"{on} is before {EARLIEST:%Y}; accepted is a day since then.")
    if not purchase.lines.exists():
        refuse("", "There is nothing on it; add a line before sending it.")
    purchase.state, purchase.sent_on = State.SENT, on
    purchase.supplier_address = purchase.supplier.address
    purchase.our_address = purchase.property.address
    purchase.terms = purchase.terms or purchase.property.order_terms
    save_clean(purchase)
    freeze_on_hand(purchase.order)
    record(purchase, user, f"Sent on {on}.")
    return purchase


@transaction.atomic
def take_back_sending(*, purchase, user):
    """A draft again, where it was sent by mistake and nothing has come.

    Raises
    ------
    Conflict
        It was not sent, or something of it has come.
    """
    purchase = locked(purchase)
    _check_state(purchase, (State.SENT,), "made a draft again")
    if purchase.lines.filter(lots__isnull=False).exists():
        raise Conflict(f"{purchase} has had deliveries; close it instead.")
    was = {"sent_on": str(purchase.sent_on)}
    purchase.state, purchase.sent_on = State.DRAFT, None
    purchase.save(update_fields=["state", "sent_on"])
    record(purchase, user, "Made a draft again: it had not been sent.", was)
    return purchase


@transaction.atomic
def close_purchase(*, purchase, user, because=""):
    """Have done with it: a draft that is set aside, or a document of which nothing more is expected.

    Raises
    ------
    Refused
        No reason where something has not come.
    Conflict
        It is closed already.
    """
    purchase = locked(purchase)
    _check_not_closed(purchase)
    because = because.strip()
    if not because and purchase.state != State.RECEIVED:
        refuse(
            "because",
            "Say why it is closed while something has not come: sold out, bought elsewhere, not needed.",
        )
    before = purchase.state
    purchase.state, purchase.closed_because = State.CLOSED, because
    save_clean(purchase)
    record(purchase, user, f"Closed{f': {because}' if because else '.'}", {"state": before})
    return purchase


@transaction.atomic
def reopen_purchase(*, purchase, user):
    """Take up again what was closed; its state is what has come of it.

    Raises
    ------
    Conflict
        It is not closed.
    """
    purchase = locked(purchase)
    _check_state(purchase, (State.CLOSED,), "reopened")
    was = {"closed_because": purchase.closed_because}
    purchase.state = State.DRAFT if purchase.sent_on is None else figures_of(purchase).state_by_receipts
    purchase.closed_because = ""
    purchase.save(update_fields=["state", "closed_because"])
    record(purchase, user, f"Reopened as {purchase.get_state_display().lower()}.", was)
    return purchase


def follow_receipts(purchase, user, said):
    """Set the state of a locked purchase order by what has come, and record the delivery. A closed one stays so."""
    before = purchase.state
    if purchase.state in _SENT:
        purchase.state = figures_of(purchase).state_by_receipts
        purchase.save(update_fields=["state"])
    moved = f" Now {purchase.get_state_display().lower()}." if purchase.state != before else ""
    record(purchase, user, f"{said}{moved}", {"state": before} if moved else {})


def _take_off(purchase, line, user):
    if line.lots.exists():
        raise Conflict(
            f"Seed has come for “{line.description}”; its packs can be made as many as came, and no fewer than 1."
        )
    was_by_terms = _is_freight_by_terms(purchase)
    if purchase.state != State.DRAFT:
        was = {"offer": line.offer_id, "packs": line.packs, "price_usd": str(line.price_usd)}
        record(purchase, user, f"{line.description}: {line.packs} packs taken off.", was)
    line.delete()
    _settle(purchase, was_by_terms)
    return


def _is_freight_by_terms(purchase):
    """Whether the freight is what the supplier's terms say, and no figure that somebody typed."""
    return purchase.freight_usd == freight_by_terms(purchase)


def _settle(purchase, was_by_terms):
    if was_by_terms:
        set_expected_freight(purchase)
    if purchase.state in _SENT:
        purchase.state = figures_of(purchase).state_by_receipts
        purchase.save(update_fields=["state"])


def _check_not_closed(purchase):
    if purchase.state == State.CLOSED:
        raise Conflict(f"{purchase} is closed; reopen it to change it.")


def _check_state(purchase, accepted, act):
    if purchase.state not in accepted:
        names = " or ".join(State(each).label.lower() for each in accepted)
        raise Conflict(
            f"{purchase} is {purchase.get_state_display().lower()}; only one that is {names} can be {act}."
        )


def _shown(value):
    if value in (None, ""):
        return "none"
    return (
        f"{value:.2f} USD"
        if isinstance(value, Decimal)
        else f"“{value}”"
        if isinstance(value, str)
        else str(value)
    )


def _plain(value):
    return None if value is None else str(value)
