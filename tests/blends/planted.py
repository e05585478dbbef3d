"""A plot to drill, and lots to drill from."""

import uuid
from datetime import date
from decimal import Decimal

from blends.models import Lot
from blends.services import stock
from blends.services.planting_records import record_planting

SOWN_ON = date(2026, 9, 10)


def lot_of(farm, thing, user, lb="400", goods_usd="200.00", tag=("98", "90"), number="A7"):
    """A lot of a species or a bought mix, received a month before. [bulk lb, USD, %]"""
    what = {"species": thing} if thing._meta.model_name == "species" else {"blend": thing}
    lot = Lot.objects.create(
        property=farm,
        lot_number=number,
        goods_usd=goods_usd and Decimal(goods_usd),
        purity_pct=tag and Decimal(tag[0]),
        germination_pct=tag and Decimal(tag[1]),
        **what,
    )
    stock.receive(lot=lot, lb=lb, on=date(2026, 8, 10), user=user)
    return lot


def drilled(planting, user, seeds=(), acres="2", id=None, on=SOWN_ON, **said):
    """Record a planting: {lot: pounds used} or lines as the service takes them."""
    if isinstance(seeds, dict):
        seeds = [{"lot_id": lot.pk, "used_lb": Decimal(lb)} for lot, lb in seeds.items()]
    said = {"done_on": on, "acres": Decimal(acres), **said}
    record, _ = record_planting(
        id=id or uuid.uuid4(), planting=planting, user=user, said=said, seeds=list(seeds)
    )
    return record
