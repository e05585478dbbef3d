"""A lot's ledger worked through in its order: what lies where, what a count differs from the book, what a pound cost."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from blends.calc.money import from_cents, to_cents
from blends.models import StockEntry
from config.errors import Conflict

Kind = StockEntry.Kind
BEARS_COST = (Kind.USED, Kind.LOST, Kind.COUNTED)


@dataclass(frozen=True)
class Book:
    """A lot's ledger, worked through.

    Attributes
    ----------
    figures : dict
        (lb, cost_usd) by the entry's id.
    on_hand_lb : Decimal
    by_place : dict
        Pounds by place; places where nothing lies are left out.
    on_hand_usd : Decimal or None
        What the seed on hand has cost.
    balances : dict
        Pounds of the lot after each entry, by its id.
    """

    figures: dict
    on_hand_lb: Decimal
    by_place: dict
    on_hand_usd: Decimal | None
    balances: dict


def worked_through(entries, cost_usd, lot="the lot", new=None):
    """The figures of a ledger in its order.

    The lot's cents go with its pounds as they leave, each pound with its share of what all that were received have
    cost, and the cents out after each entry are rounded, so that they add up at every step. Seed that a count finds
    again takes its cents back; where more turns up than ever came, the cost of what is left spreads over it.

    Parameters
    ----------
    entries : list of StockEntry
        Those that count, in the order of the ledger.
    cost_usd : Decimal or None
    lot : Lot or str
        To name it in a refusal.
    new : collection of int, optional
        Ids of what is being entered; a refusal says when an entry of before lacks the pounds.

    Returns
    -------
    Book

    Raises
    ------
    Conflict
        Less than nothing would lie somewhere on some day.
    """
    received_lb = sum((e.lb for e in entries if e.kind == Kind.RECEIVED), Decimal(0))
    purse = None if cost_usd is None else _Purse(to_cents(cost_usd), received_lb)
    places, figures, balances, balance = defaultdict(Decimal), {}, {}, Decimal(0)
    for entry in entries:
        lb = entry.lb
        if entry.kind == Kind.COUNTED:
            lb = entry.counted_lb - places[entry.place]
        elif places[entry.place] + lb < 0:
            raise Conflict(_too_little(lot, entry, places, new is None or entry.pk in new))
        places[entry.place] += lb
        balance += lb
        is_costed = purse is not None and entry.kind in BEARS_COST
        figures[entry.pk] = (lb, from_cents(purse.cents_of(lb)) if is_costed else None)
        balances[entry.pk] = balance
    lying = {place: lb for place, lb in sorted(places.items()) if lb}
    on_hand_usd = None if purse is None else from_cents(purse.cents_left)
    return Book(figures, balance, lying, on_hand_usd, balances)


class _Purse:
    """The cents of the pounds that have not gone out."""

    def __init__(self, cents, received_lb):
        self.cents_left = self.cents = int(cents)
        self.lb = Fraction(received_lb)
        self.cents_per_lb = Fraction(self.cents) / self.lb if self.lb else None

    def cents_of(self, lb):
        """Cents that an entry of so many pounds (below 0 when they go) bears; below 0 for what it brings back."""
        self.lb += Fraction(lb)
        left = self.cents if self.cents_per_lb is None else self.cents_per_lb * self.lb
        if left >= self.cents and self.lb:
            left = Fraction(self.cents)
            self.cents_per_lb = left / self.lb
        before, self.cents_left = self.cents_left, self.cents - int(to_cents(_dollars(self.cents - left)))
        return before - self.cents_left


def _dollars(cents):
    cents = Fraction(cents)
    return Decimal(cents.numerator) / Decimal(cents.denominator) / 100


def _too_little(lot, entry, places, is_new):
    there, asked = places[entry.place], -entry.lb
    elsewhere = sum(places.values(), Decimal(0)) - there
    where = f" at {entry.place}" if entry.place else ""
    more = f" ({elsewhere.normalize():f} lb lie elsewhere)" if elsewhere else ""
    had = f"{lot} had {there.normalize():f} lb{where} on {entry.on}{more}"
    if is_new:
        return f"{had}, and {asked.normalize():f} lb were to be taken. Take less, or enter what was counted."
    return (
        f"Then {had}, too little for the {asked.normalize():f} lb {entry.get_kind_display().lower()} that day. "
        "Correct that entry first, or enter what was counted."
    )
