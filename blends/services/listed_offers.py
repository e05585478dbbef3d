"""What becomes of a price list: stored as offers, corrected row by row, taken back."""

from django.db import transaction

from blends.calc.price_tables import headings_of
from blends.models import BuyingPlan, Offer, OrderChoice, PriceBreak, PriceList, PurchaseLine, Supplier
from blends.offer_rules import pack_price_of
from blends.queries.price_lists import LEFT_OUT, NEW, REPLACES, UNCHANGED, left_out_rows, preview
from blends.services.offers import is_free_to_change, orders_buying, put_in_place_of
from blends.services.price_lists import check_matching, locked_list
from blends.services.stale import mark_stale
from config.errors import Conflict, Refused, refuse

State = PriceList.State
CHUNK = 200
MOST_CELL = 2_000


@transaction.atomic
def store_list(*, price_list):
    """Make offers of every row that can become one; what cannot stays on the list with its reason.

    Standing offers of the same seed, variety and pack are withdrawn and replaced where something differs. Choices of
    orders of which nothing was sent or planted go over to the new ones.

    Returns
    -------
    PriceList
        In state 'stored', with `counts`.

    Raises
    ------
    Refused
        The columns are not matched, or no row can become an offer.
    Conflict
        The list is stored already, or set aside.
    """
    row = locked_list(price_list)
    check_matching(row)
    found = preview(row)
    if found.wrong:
        raise Refused(" ".join(found.wrong), fields={"columns": found.wrong})
    if not (found.of(NEW) or found.of(REPLACES) or found.of(UNCHANGED)):
        raise Refused("No row of the list can become an offer yet; the reasons stand beside the rows.")
    _store_offers(row, found)
    row.left_out = [_left_out(each) for each in found.of(LEFT_OUT)]
    row.state = State.STORED
    row.save(update_fields=["left_out", "state"])
    headings = headings_of(row.table, row.heading_row)
    columns = {headings[at]: name for name, at in row.columns.items() if not name.startswith("all:")}
    Supplier.objects.filter(pk=row.supplier_id).update(list_columns=columns)
    row.counts = found.counts
    return row


@transaction.atomic
def correct_rows(*, price_list, cells=None):
    """Try rows that were left out again, with their cells corrected; what succeeds becomes an offer.

    Parameters
    ----------
    cells : dict or None
        {row: {column: text}} with the row as `left_out` names it. None tries every row as it is.

    Returns
    -------
    PriceList
        With `counts` of the rows that were tried.

    Raises
    ------
    Refused
        A row that was not left out, or a column that the list has not.
    Conflict
        The list is not stored.
    """
    row = locked_list(price_list)
    if row.state != State.STORED:
        raise Conflict("The list is not stored yet; correct its columns and names, then store it.")
    by_row = {each["row"]: each for each in row.left_out}
    for index, changed in (cells or {}).items():
        if index not in by_row:
            refuse("rows", f"Row {index} is not among those left out of this list.")
        for column, text in changed.items():
            if not 0 <= column < len(row.table[0]):
                refuse(
                    "rows",
                    f"Column {column} is not one of this list; accepted is 0 to {len(row.table[0]) - 1}.",
                )
            if len(text) > MOST_CELL or any(not each.isprintable() for each in text):
                refuse("rows", f"“{text[:30]}…” cannot stand in a cell; accepted is text on one line.")
            by_row[index]["cells"][column] = " ".join(text.split())
    found = preview(row, left_out_rows(row, None if cells is None else set(cells)))
    _refuse_what_was_stored(row, found)
    _store_offers(row, found)
    tried = {each.read.index: each for each in found.rows}
    row.left_out = [
        _left_out(tried[index]) if index in tried else each
        for index, each in by_row.items()
        if index not in tried or tried[index].becomes == LEFT_OUT
    ]
    row.save(update_fields=["left_out"])
    row.counts = found.counts
    return row


@transaction.atomic
def take_back_list(*, price_list):
    """Take back what storing did: its offers are withdrawn, those that they replaced are offered again.

    Choices that had gone over to its offers go back. The list can be matched and stored again.

    Raises
    ------
    Conflict
        The list is not stored; one of its offers is on a purchase order, was planted, has been replaced or, where
        there is no offer to go back to, is chosen.
    """
    row = locked_list(price_list)
    if row.state != State.STORED:
        raise Conflict("The list is not stored, so there is nothing to take back.")
    offers = list(Offer.objects.select_for_update(of=("self",)).filter(price_list=row).order_by("pk"))
    before = {old.replaced_by_id: old for old in Offer.objects.filter(replaced_by__price_list=row)}
    _check_free_to_go(row, offers, before)
    stale = set()
    for offer in _in_use(row, offers):
        stale |= {order.pk for order in orders_buying(offer)}
        OrderChoice.objects.filter(offer=offer).update(offer=before[offer.pk])
    Offer.objects.filter(replaced_by__price_list=row).update(is_withdrawn=False, replaced_by=None)
    Offer.objects.filter(price_list=row).update(is_withdrawn=True, price_list=None)
    mark_stale(sorted(stale))
    row.state, row.left_out = State.MATCHING, []
    row.save(update_fields=["state", "left_out"])
    return row


def _refuse_what_was_stored(row, found):
    """A corrected row must not replace what another row of the same list became."""
    for each in found.of(REPLACES):
        if each.old.price_list_id == row.pk:
            each.becomes = LEFT_OUT
            each.reason = "Another row of this list is an offer of the same pack of the same seed."


def _store_offers(row, found):
    fresh = found.of(NEW) + found.of(REPLACES)
    if row.supplier.is_archived and fresh:
        raise Conflict(f"{row.supplier} is archived; bring it back first.")
    Offer.objects.bulk_create([each.offer for each in fresh], batch_size=CHUNK)
    breaks = [
        PriceBreak(
            offer=each.offer,
            from_packs=one["from_packs"],
            quoted_usd=one["quoted_usd"],
            price_usd=pack_price_of(each.offer, one["quoted_usd"]),
        )
        for each in fresh
        for one in each.read.breaks
    ]
    PriceBreak.objects.bulk_create(breaks, batch_size=CHUNK)
    replaced = {each.old.pk: each for each in found.of(REPLACES)}
    used = {offer.pk for offer in _in_use(row, [each.old for each in replaced.values()])}
    for pk in used:
        put_in_place_of(replaced[pk].old, replaced[pk].offer)
    free = replaced.keys() - used
    for start in range(0, len(free), CHUNK):
        Offer.objects.filter(pk__in=sorted(free)[start : start + CHUNK]).update(is_withdrawn=True)
    for pk in free:  # one by one is three times as fast as a CASE of thousands of branches
        Offer.objects.filter(pk=pk).update(replaced_by=replaced[pk].offer)


def _in_use(row, offers):
    """Those of the offers that an order chose or a way to buy that was taken has."""
    chosen = set(
        OrderChoice.objects.filter(offer__supplier=row.supplier_id).values_list("offer_id", flat=True)
    )
    taken = BuyingPlan.objects.filter(order__season__property=row.property_id, taken_at__isnull=False)
    for found in taken.values_list("found", flat=True):
        chosen |= {line.get("offer_id") for line in found.get("lines", [])}
    return [offer for offer in offers if offer.pk in chosen]


def _check_free_to_go(row, offers, before):
    lines = PurchaseLine.objects.filter(offer__price_list=row).select_related("purchase", "offer__supplier")
    line = lines.first()
    if line is not None:
        raise Conflict(
            f"{line.purchase} names an offer of this list, {line.description}, so the list cannot be taken back."
        )
    for offer in offers:
        if offer.replaced_by_id is not None:
            raise Conflict(
                f"“{offer}” of this list has been replaced since, so the list cannot be taken back."
            )
    for offer in _in_use(row, offers):
        orders = orders_buying(offer)
        if offer.pk not in before or not all(is_free_to_change(order) for order in orders):
            raise Conflict(
                f"“{offer}” of this list is chosen for the {str(orders[0].season).lower()}, so the list cannot be "
                "taken back; choose another offer there first."
            )


def _left_out(each):
    return {
        "row": each.read.index,
        "line": each.read.line,
        "cells": each.read.cells,
        "reason": each.reason,
        "why": each.why,
    }
