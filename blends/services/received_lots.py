"""The lots of a delivery: made, corrected, received anew, and the freight shared among them."""

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

from django.db.models import Sum

from blends.access import species_rows
from blends.calc.sharing import shared_freight
from blends.models import Blend, Lot, StockEntry
from blends.services import stock
from blends.services.lots import TAG_FIELDS, correct_lot
from config.errors import Refused, refuse
from plots.services.earlier import keep_earlier
from plots.services.rows import save_clean

ROW_FIELDS = ("line", "species", "blend", "packs", "lb", "goods_usd", "place", "note", *TAG_FIELDS)
CORRECTED = ("packs", "lb", "goods_usd", "note", "place", *TAG_FIELDS)
_CENT = Decimal("0.01")
_RECEIVED = StockEntry.Kind.RECEIVED


def make_lot(receipt, row, user):
    """A lot with its tag and its pounds; raises Refused where a value cannot be."""
    unknown = row.keys() - set(ROW_FIELDS)
    if unknown:
        raise Refused(f"“{min(unknown)}” is not a value of a lot; accepted are {', '.join(ROW_FIELDS)}.")
    line = row.get("line")
    species, blend = row.get("species"), row.get("blend")
    if line is not None:
        if line.purchase_id != receipt.purchase_id:
            refuse("line", "That line is of another purchase order.")
        species, blend = line.species, line.blend
    _check_seed(receipt.property, species, blend)
    packs, lb = row.get("packs"), row.get("lb")
    if lb is None:
        if not packs:
            refuse("lb", "Packs or pounds are needed: how much came.")
        if line is None:
            refuse("lb", f"{packs} packs came, and how heavy a pack is is not known; enter the pounds.")
        lb = packs * line.pack_lb
    goods_usd = row.get("goods_usd")
    if goods_usd is None and line is not None:
        goods_usd = _goods_usd(line, packs, _decimal("lb", lb))
    lot = Lot(
        property=receipt.property,
        species=species,
        blend=blend,
        receipt=receipt,
        purchase_line=line,
        packs=packs,
        goods_usd=goods_usd,
        note=row.get("note") or "",
        created_by=user,
    )
    save_clean(lot)
    tag = {name: row[name] for name in TAG_FIELDS if row.get(name) not in (None, "")}
    if line is not None:
        tag.setdefault("variety", line.offer.variety)
    if tag:
        lot = correct_lot(lot=lot, user=user, **tag)
        lot.earlier = []  # it is read off the tag for the first time, and corrects nothing
        lot.save(update_fields=["earlier"])
    stock.receive(lot=lot, lb=lb, on=receipt.received_on, user=user, place=row.get("place") or "")
    return lot


def correct_received(receipt, given, user):
    """Correct `given["lot"]` of the delivery by CORRECTED; what it said before is kept."""
    given = dict(given)
    lot = receipt.lots.filter(pk=given.pop("lot").pk).first()
    if lot is None:
        refuse("lot", "That lot did not come with this delivery.")
    unknown = given.keys() - set(CORRECTED)
    if unknown:
        refuse(min(unknown), f"“{min(unknown)}” cannot be corrected on a lot of a delivery.")
    tag = {name: given[name] for name in TAG_FIELDS if name in given}
    if tag:
        lot = correct_lot(lot=lot, user=user, **tag)
    if keep_earlier(
        lot, user, {name: given[name] for name in ("packs", "goods_usd", "note") if name in given}
    ):
        save_clean(lot)
        stock.refresh(lot)
    if given.get("lb") is not None or "place" in given:
        receive_again(lot, user, lb=given.get("lb"), place=given.get("place"))


def receive_again(lot, user, lb=None, place=None, on=None):
    """Let one entry stand, in its place in the ledger, for what was received before; no change writes none."""
    entries = received(lot)
    first, total = entries[0], sum(entry.lb for entry in entries)
    lb = total if lb is None else _decimal("lb", lb)
    place, on = first.place if place is None else " ".join(place.split()), on or first.on
    if len(entries) == 1 and (lb, place, on) == (first.lb, first.place, first.on):
        return
    stock.take_back(entries=entries, user=user, reason="Corrected with the delivery.", work_through=False)
    stock.receive(lot=lot, lb=lb, on=on, user=user, place=place, stands_at=first.stands_at)


def share(receipt, user=None):
    """Share the freight among the lots that count, and let their ledgers follow."""
    lots = stock.lock_lots(receipt.lots.values_list("pk", flat=True))
    came = dict(
        StockEntry.objects.filter(lot__in=lots, kind=_RECEIVED, is_taken_back=False)
        .values_list("lot")
        .annotate(lb=Sum("lb"))
        .order_by()
    )
    counting = [lot for pk, lot in lots.items() if came.get(pk)]
    kind = receipt.supplier.freight_kind if receipt.supplier else ""
    shares, _ = shared_freight(
        receipt.freight_usd, [came[lot.pk] for lot in counting], [lot.goods_usd for lot in counting], kind
    )
    for lot, share in zip(counting, shares, strict=True):
        if lot.freight_usd == share:
            continue
        if user is None:
            lot.freight_usd = share
        else:
            keep_earlier(lot, user, {"freight_usd": share})
        lot.save(update_fields=["freight_usd", "earlier"])
        stock.refresh(lot)


def received(lot):
    """The entries by which the lot's pounds came, those that count."""
    return list(lot.entries.filter(kind=_RECEIVED, is_taken_back=False))


def _goods_usd(line, packs, lb):
    """What the goods cost by the purchase order: packs × price, by the pound where packs were not counted."""
    if packs:
        return packs * line.price_usd
    return (line.price_usd * lb / line.pack_lb).quantize(_CENT, ROUND_HALF_UP)


def _check_seed(property, species, blend):
    if (species is None) == (blend is None):
        refuse("seed", "A lot is of one thing: a species, or a bought mix.")
    if species is not None and not species_rows(property).filter(pk=species.pk).exists():
        refuse("seed", f"Species {species.pk} is not in this property's list.")
    if blend is not None:
        if blend.property_id != property.pk:
            refuse("seed", f"Blend {blend.pk} is not one of this property.")
        if blend.kind != Blend.Kind.BOUGHT:
            refuse("seed", f"{blend} is mixed here and comes in no bag of its own; enter its species.")


def _decimal(field, value):
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or number <= 0:
        refuse(field, f"{value} lb is not accepted; a number above 0 is.")
    return number.quantize(stock.LEAST_LB)
