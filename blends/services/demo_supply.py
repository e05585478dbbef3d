"""The demonstration's seed from the order to the ground: bought, received as lots, drilled from them.

Part of blends/services/demo.py; what is read comes from fixtures/demo/supply.json.
"""

import uuid
from collections import defaultdict
from datetime import time, timedelta
from decimal import Decimal
from itertools import cycle

from blends.models import Lot, Machine, Planting, Species, Termination
from blends.queries.sheets import sheets
from blends.services.inoculants import add_inoculant
from blends.services.lot_choices import fill_from_stock
from blends.services.machines import record_calibration, save_machine
from blends.services.orders import recompute_order
from blends.services.planting_records import record_planting
from blends.services.purchase_drafts import draft_purchases
from blends.services.purchases import send_purchase
from blends.services.receiving import receive_delivery
from blends.services.suppliers import save_supplier
from blends.services.terminations import record_termination

SENT_DAYS_BEFORE, RECEIVED_DAYS_BEFORE = 30, 12
_BARN = "Seed room, barn"
_LB, _HUNDREDTH = Decimal("0.001"), Decimal("0.01")
_LOADED_OVER = Decimal("1.05")  # a hopper is never emptied to the last seed
_NUMBERS = ("freight_usd", "freight_usd_per_lb", "freight_pct", "freight_free_from_usd", "min_order_usd")


def state_suppliers(property, facts):
    """Addresses, terms and freight of the suppliers that the offers named."""
    for supplier in property.suppliers.filter(name__in=facts):
        said = facts[supplier.name]
        values = {name: Decimal(value) if name in _NUMBERS else value for name, value in said.items()}
        save_supplier(property=property, supplier=supplier, **values)


def bring_machines(property, owner, rows):
    for row in rows:
        numbers = {
            name: Decimal(value) for name, value in row.items() if name.endswith(("_in", "_ft", "_ft3"))
        }
        limits = {name: Decimal(row[name]) for name in ("setting_low", "setting_high") if name in row}
        save_machine(property=property, user=owner, **(row | numbers | limits))


def bring_inoculants(property, owner, rows, today):
    groups = dict(Species.objects.filter(property=None).values_list("key", "inoculant_group"))
    for row in rows:
        add_inoculant(
            property=property,
            user=owner,
            inoculant_group=groups[row["like"]],
            lot_number=row["lot_number"],
            treats_lb=Decimal(row["treats_lb"]),
            received_on=today - timedelta(days=row["received_days_ago"]),
            expires_on=today + timedelta(days=row["expires_in_days"]),
            kept_at=row["kept_at"],
        )


def buy_and_receive(order, owner, first_day, tags):
    """Send the purchase orders of a season and take in what they bought, each line as one lot."""
    recompute_order(order.pk)
    order.refresh_from_db()
    received_on = first_day - timedelta(days=RECEIVED_DAYS_BEFORE)
    for purchase in draft_purchases(order=order, user=owner):
        send_purchase(purchase=purchase, user=owner, on=first_day - timedelta(days=SENT_DAYS_BEFORE))
        purchase.refresh_from_db()
        receive_delivery(
            property=order.season.property,
            user=owner,
            purchase=purchase,
            received_on=received_on,
            freight_usd=purchase.freight_usd,
            invoice=f"{order.season.year}-{purchase.number:03}",
            rows=[_lot_row(line, received_on, tags) for line in purchase.lines.select_related("offer")],
        )


def _lot_row(line, received_on, tags):
    said = tags[getattr(line.item, "key", str(line.item))]
    offer = line.offer
    tag = {
        name: getattr(offer, name) for name in ("purity_pct", "germination_pct", "hard_pct", "dormant_pct")
    }
    tag |= {name: Decimal(said[name]) for name in ("purity_pct", "germination_pct") if name in said}
    other, weed = Decimal(said["other"]), Decimal(said["weed"])
    tested = received_on.replace(day=1)
    for _ in range(said["months"]):
        tested = (tested - timedelta(days=1)).replace(day=1)
    return {
        "line": line,
        "packs": line.packs,
        "place": _BARN,
        "lot_number": f"{str(line.item)[:2].upper()}{received_on:%y}-{line.pk:03}",
        "variety": offer.variety,
        "other_crop_pct": other,
        "weed_seed_pct": weed,
        "inert_pct": Decimal(100) - tag["purity_pct"] - other - weed,
        "test_month": tested,
        "origin": said.get("origin", ""),
        "treatment": said.get("treatment", ""),
        "noxious": said.get("noxious", ""),
        **tag,
    }


def calibrate(season, owner, first_day, rows):
    drill = Machine.objects.get(property=season.property_id, kind=Machine.Kind.DRILL)
    drill.property = season.property
    blends = {row.blend.name: row.blend for row in season.plantings.select_related("blend") if row.blend}
    for row in rows:
        if row["season"] == season.kind and row["blend"] in blends:
            record_calibration(
                machine=drill,
                user=owner,
                blend=blends[row["blend"]],
                box=row["box"],
                setting=Decimal(row["setting"]),
                caught_g=[Decimal(each) for each in row["caught_g"]],
                course_ft=drill.course_ft,
                calibrated_on=first_day - timedelta(days=row["days_before"]),
            )


def plant(season, owner, days, facts):
    """Give every plot of the season its lots, and record what was drilled from them.

    Parameters
    ----------
    days : dict
        Plot id to the day on which it is planted.
    facts : dict
        Of supply.json: `drilled` (what differed, plot after plot) and `settings`.
    """
    fill_from_stock(season=season, user=owner, plot_ids=list(days))
    machines = {row.kind: row for row in Machine.objects.filter(property=season.property_id)}
    left = defaultdict(
        Decimal, Lot.objects.filter(property=season.property_id).values_list("pk", "on_hand_lb")
    )
    plantings = {
        row.plot_id: row for row in season.plantings.select_related("plot__boundary", "blend", "season")
    }
    by_plot = {sheet.plot.pk: sheet for sheet in sheets(season)}
    hours = Decimal("412.0")
    for (plot_id, day), differed in zip(days.items(), cycle(facts["drilled"]), strict=False):
        planting, sheet = plantings[plot_id], by_plot[plot_id]
        is_drilled = planting.method == Planting.Method.DRILLED
        acres = (Decimal(sheet.acres) * Decimal(differed["acres"])).quantize(_HUNDREDTH)
        share = Decimal(differed["acres"]) * Decimal(differed["rate"])
        hours_end = hours + (acres * Decimal("0.4")).quantize(Decimal("0.1"))
        said = {
            "done_on": day,
            "started_at": time(8, 10),
            "ended_at": time(9, 40),
            "acres": acres,
            "is_by_meter": is_drilled,
            "operator": "Moss Demo",
            "machine_id": machines["drill" if is_drilled else "spreader"].pk,
            "settings": facts["settings"][season.kind] if is_drilled else {},
            "soil_temp_f": Decimal(differed["soil_temp_f"]),
            "soil_temp_depth_in": Decimal(2),
            "weather": differed["weather"],
        }
        if is_drilled:
            said |= {
                "hours_start": hours,
                "hours_end": hours_end,
                "depths_checked_in": ["0.75", "0.8", "0.7"],
            }
            hours = hours_end
        seeds = [_drilled(seed, share, left) for seed in sheet.seeds]
        record_planting(id=uuid.uuid4(), planting=planting, user=owner, said=said, seeds=seeds)


def end_stands(season, owner, days):
    """Roll what stands from the season on the plots that are planted again, on the day when they are.

    Parameters
    ----------
    days : dict
        Plot id to the day on which it is planted next.
    """
    standing = season.plantings.filter(plot__in=days, state=Planting.State.DRILLED).select_related(
        "season", "plot"
    )
    for planting in standing:
        said = {
            "done_on": days[planting.plot_id],
            "method": Termination.Method.CRIMPED,
            "stage": Termination.Stage.BLOOM,
            "acres": planting.planted_acres,
            "operator": "Moss Demo",
        }
        record_termination(id=uuid.uuid4(), planting=planting, user=owner, said=said)


def _drilled(seed, share, left):
    """What was put in and what was left of one lot; never more than there is."""
    used_lb = (Decimal(seed.lb) * share).quantize(_LB)
    if seed.lot is None:
        return {
            "species_id": seed.species and seed.species.pk,
            "blend_id": seed.blend and seed.blend.pk,
            "used_lb": used_lb,
        }
    loaded_lb = min((used_lb * _LOADED_OVER).quantize(_LB), left[seed.lot.pk])
    used_lb = min(used_lb, loaded_lb)
    left[seed.lot.pk] -= used_lb
    return {"lot_id": seed.lot.pk, "loaded_lb": loaded_lb, "left_lb": loaded_lb - used_lb}
