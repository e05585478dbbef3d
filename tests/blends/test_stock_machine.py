"""Several lots, several people, everything that can be done to seed, in any order: the ledger against a plain model.

The model knows days, places and whole thousandths of a pound, and nothing of entries, queries or money.
"""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)

from blends.models import Lot, StockEntry
from blends.queries.stock_book import worked_through
from blends.services import stock
from config.errors import Conflict, Refused

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 2)
POUNDS = st.integers(1, 150_000)  # thousandths
PLACES = st.sampled_from(["", "Barn", "Cabin"])
DAYS = st.integers(0, 6)


class Short(Exception):
    """Less than nothing would lie somewhere."""


class Plain:
    """A lot as a list of (day, order, act); an act is (kind, place, thousandths) or (move, from, to, thousandths)."""

    def __init__(self):
        self.acts, self.clock = {}, 0

    def with_act(self, key, day, stands, act):
        other = Plain()
        other.acts, other.clock = self.acts | {key: (day, stands, self.clock, act)}, self.clock + 1
        other.played()
        return other

    def without(self, *keys):
        other = Plain()
        other.acts = {key: act for key, act in self.acts.items() if key not in keys}
        other.clock = self.clock
        other.played()
        return other

    def played(self, until=None):
        """What lies where after all, or before (day, stands)."""
        lying, sums = {}, {"received": 0, "gone": 0, "found": 0}
        for day, stands, _, act in sorted(self.acts.values(), key=lambda each: each[:3]):
            if until is not None and (day, stands) >= until:
                break
            kind, place, amount = act[0], act[1], act[-1]
            there = lying.get(place, 0)
            if kind == "received":
                lying[place], sums["received"] = there + amount, sums["received"] + amount
            elif kind == "counted":
                lying[place], sums["found"] = amount, sums["found"] + amount - there
            else:
                if there < amount:
                    raise Short
                lying[place] = there - amount
                if kind == "moved":
                    lying[act[2]] = lying.get(act[2], 0) + amount
                else:
                    sums["gone"] += amount
        return {place: lb for place, lb in lying.items() if lb}, sums

    def parts(self, amount, until):
        """Where so much is taken from when nobody says: most first."""
        lying, _ = self.played(until)
        parts = []
        for place, there in sorted(lying.items(), key=lambda each: (-each[1], each[0])):
            if amount:
                parts.append((place, min(there, amount)))
                amount -= parts[-1][1]
        if amount:
            raise Short
        return parts


class Shed(RuleBasedStateMachine):
    people = farm = oats = None  # by the test
    lots = Bundle("lots")
    uses = Bundle("uses")
    others = Bundle("others")

    def __init__(self):
        super().__init__()
        self.plain, self.turn = {}, 0

    @rule(target=lots, cents=st.none() | st.integers(0, 900_000))
    def buy(self, cents):
        usd = None if cents is None else Decimal(cents) / 100
        lot = Lot.objects.create(property=self.farm, species=self.oats, goods_usd=usd)
        self.plain[lot.pk] = Plain()
        return lot.pk

    def how(self, lot_id, day):
        self.turn += 1
        return {
            "lot": Lot.objects.get(pk=lot_id),
            "user": self.people[self.turn % len(self.people)],
            "on": MONDAY + timedelta(days=day),
        }

    def agree(self, lot_id, wanted, act):
        """Do it; the model and the ledger refuse the same. What was made, or nothing."""
        try:
            after = wanted(self.plain[lot_id])
        except Short:
            after = None
        if after is None:
            with pytest.raises(Conflict):
                act()
            return None
        made = act()
        self.plain[lot_id] = after
        return made

    @rule(target=others, lot=lots, amount=POUNDS, place=PLACES, day=DAYS)
    def receive(self, lot, amount, place, day):
        key = object()
        made = stock.receive(lb=lb(amount), place=place, **self.how(lot, day))
        self.plain[lot] = self.plain[lot].with_act(key, day, made.stands_at, ("received", place, amount))
        return (lot, [key], [made.pk])

    @rule(target=others, lot=lots, amount=st.integers(0, 150_000), place=PLACES, day=DAYS)
    def count(self, lot, amount, place, day):
        key = object()
        made = self.agree(
            lot,
            lambda plain: plain.with_act(key, day, 10**9, ("counted", place, amount)),
            lambda: stock.count(lb=lb(amount), place=place, **self.how(lot, day)),
        )
        return self.placed(lot, day, made and [made], [(key, ("counted", place, amount))])

    @rule(target=uses, lot=lots, amount=POUNDS, place=PLACES | st.none(), day=DAYS)
    def use(self, lot, amount, place, day):
        return self.taken(lot, amount, place, day, stock.use)

    @rule(target=others, lot=lots, amount=POUNDS, place=PLACES, day=DAYS)
    def lose(self, lot, amount, place, day):
        return self.taken(lot, amount, place, day, lambda **how: stock.lose(reason="Spilled", **how))

    def taken(self, lot, amount, place, day, act):
        parts = []

        def wanted(plain):
            parts[:] = [(place, amount)] if place is not None else plain.parts(amount, (day, 10**9))
            for at, part in parts:
                plain = plain.with_act(object(), day, 10**9, ("used", at, part))
            return plain

        before = self.plain[lot]
        made = self.agree(lot, wanted, lambda: act(lb=lb(amount), place=place, **self.how(lot, day)))
        self.plain[lot] = before if made else self.plain[lot]
        return self.placed(lot, day, made, [(object(), ("used", at, part)) for at, part in parts])

    @rule(target=others, lot=lots, amount=POUNDS, places=st.permutations(["", "Barn", "Cabin"]), day=DAYS)
    def move(self, lot, amount, places, day):
        act = ("moved", places[0], places[1], amount)
        key, before = object(), self.plain[lot]
        made = self.agree(
            lot,
            lambda plain: plain.with_act(key, day, 10**9, act),
            lambda: stock.move(lb=lb(amount), from_place=places[0], to_place=places[1], **self.how(lot, day)),
        )
        self.plain[lot] = before if made else self.plain[lot]
        return self.placed(lot, day, made, [(key, act)])

    def placed(self, lot, day, made, acts):
        """Keep what was made in the model at the place that the ledger gave it."""
        if not made:
            return multiple()
        for entry, (key, act) in zip(made, acts, strict=False):
            plain = self.plain[lot].without(key)
            self.plain[lot] = plain.with_act(key, day, entry.stands_at, act)
        return (lot, [key for key, _ in acts], [entry.pk for entry in made])

    @rule(done=uses | others)
    def take_back(self, done):
        lot, keys, ids = done
        if not set(keys) <= set(self.plain[lot].acts):
            return  # it was taken back before
        entries = list(StockEntry.objects.filter(pk__in=ids[:1] if len(keys) == 1 else ids))
        self.agree(
            lot,
            lambda plain: plain.without(*keys),
            lambda: stock.take_back(entries=entries, user=self.people[0], reason="A slip") or True,
        )

    @rule(target=uses, done=uses, amount=POUNDS, day=DAYS)
    def correct(self, done, amount, day):
        """As a corrected planting record does it: taken back, and another at its place."""
        lot, keys, ids = done
        if not set(keys) <= set(self.plain[lot].acts):
            return multiple()
        entries = list(StockEntry.objects.filter(pk__in=ids))
        stands, new, parts = entries[0].stands_at, [], []

        def wanted(plain):
            plain = plain_without(plain, keys)
            parts[:] = plain.parts(amount, (day, stands))
            for at, part in parts:
                new.append(object())
                plain = plain.with_act(new[-1], day, stands, ("used", at, part))
            return plain

        def act():
            from django.db import transaction

            with transaction.atomic():
                stock.take_back(entries=entries, user=self.people[1], work_through=False)
                return stock.use(lb=lb(amount), stands_at=stands, **self.how(lot, day))

        made = self.agree(lot, wanted, act)
        return (lot, new, [entry.pk for entry in made]) if made else multiple()

    @rule(lot=lots, amount=POUNDS)
    def nothing_comes_of_what_is_refused(self, lot, amount):
        with pytest.raises(Refused):
            stock.lose(lb=lb(amount), reason=" ", **self.how(lot, 0))

    @invariant()
    def ledger_is_as_the_model(self):
        for lot in Lot.objects.filter(pk__in=self.plain):
            live = list(lot.entries.filter(is_taken_back=False))
            book = worked_through(live, lot.cost_usd)
            lying, sums = self.plain[lot.pk].played()
            assert {place: int(there * 1000) for place, there in book.by_place.items()} == lying
            assert lot.on_hand_lb * 1000 == sum(lying.values()) >= 0
            assert sums["received"] + sums["found"] == sums["gone"] + lot.on_hand_lb * 1000
            assert sum(entry.lb for entry in live) == lot.on_hand_lb
            self.check_cents(lot, live, book)

    def check_cents(self, lot, live, book):
        if lot.cost_usd is None:
            assert all(entry.cost_usd is None for entry in live)
            return
        assert sum((entry.cost_usd or 0 for entry in live), Decimal(0)) + book.on_hand_usd == lot.cost_usd
        assert 0 <= book.on_hand_usd <= lot.cost_usd
        received = sum((Fraction(entry.lb) for entry in live if entry.kind == "received"), Fraction(0))
        is_plain = not any(entry.kind == "counted" for entry in live)
        if received and is_plain:  # no count: what is on hand has cost its share, to the cent
            share = Fraction(lot.cost_usd) * Fraction(lot.on_hand_lb) / received
            assert abs(Fraction(book.on_hand_usd) - share) <= Fraction(1, 200)


def plain_without(plain, keys):
    """Without working it through: what stands for them follows."""
    other = Plain()
    other.acts, other.clock = {key: act for key, act in plain.acts.items() if key not in keys}, plain.clock
    return other


def lb(thousandths):
    return Decimal(thousandths) / 1000


def test_the_shed_adds_up_whatever_people_do(farm, owner, manager, recorder, species):
    people, oats = [owner, manager, recorder], species("oats")
    machine = type("TheShed", (Shed,), {"people": people, "farm": farm, "oats": oats})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=30,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
