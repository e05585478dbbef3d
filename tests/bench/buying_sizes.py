"""Invented price lists of a size, for the benchmark of the buying plan."""

from decimal import Decimal

import numpy as np

from blends.calc.buying import Item, Offer, Problem, Supplier

CENT = Decimal("0.01")


def price_lists(needs, offers_a_need, suppliers, seed):
    """Needs from 20 to 1,500 lb PLS; packs of 5 to 50 lb; breaks for half of them; all kinds of freight."""
    random = np.random.default_rng(seed)
    kinds = [
        {"freight_kind": "flat", "charge_usd": Decimal("85.00"), "free_from_usd": Decimal("2500.00")},
        {"freight_kind": "weight", "usd_per_lb": Decimal("0.0850"), "charge_usd": Decimal("25.00")},
        {"freight_kind": "value", "pct": Decimal("6.50"), "charge_usd": Decimal("30.00")},
        {"freight_kind": "flat", "charge_usd": Decimal("140.00"), "min_order_usd": Decimal("500.00")},
        {"freight_kind": "none", "min_order_usd": Decimal("750.00")},
    ]
    sellers = tuple(Supplier(row, f"Supplier {row}", **kinds[row % len(kinds)]) for row in range(suppliers))
    items, offers = [], []
    for row in range(needs):
        wanted_lb = float(np.round(np.exp(random.uniform(np.log(20), np.log(1500))), 1))
        items.append(Item(f"Species {row}", wanted_lb, round(wanted_lb / 1.05, 1)))
        usd_per_lb = np.exp(random.uniform(np.log(0.6), np.log(6)))
        for number in range(offers_a_need):
            supplier = int(random.integers(suppliers)) if number >= suppliers else number
            pack_lb = Decimal(int(random.choice([5, 10, 25, 50])))
            live = round(float(random.uniform(0.7, 0.97)), 4)
            dearer = {5: 1.25, 10: 1.15, 25: 1.05, 50: 1.0}[int(pack_lb)] * random.uniform(0.9, 1.12)
            usd = Decimal(str(round(usd_per_lb * dearer * live * float(pack_lb), 2)))
            breaks = ()
            if random.random() < 0.5:
                first = int(random.integers(2, 9))
                breaks = ((first, (usd * Decimal("0.95")).quantize(CENT)),)
                if random.random() < 0.5:
                    breaks += ((first * 4, (usd * Decimal("0.90")).quantize(CENT)),)
            offers.append(Offer(len(offers), row, supplier, pack_lb, live, usd, breaks))
    return Problem(tuple(items), tuple(offers), sellers)
