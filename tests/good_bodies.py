"""A body that is taken, for every route of the API by which seed is bought, stored, sown and ended."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

from blends.models import Offer
from blends.services import stock
from blends.services.inoculants import add_inoculant
from blends.services.listed_offers import store_list
from blends.services.lots import add_test
from blends.services.machines import record_calibration
from blends.services.planting_records import record_planting
from blends.services.price_lists import answer_names, receive_list
from blends.services.purchase_drafts import start_purchase
from blends.services.purchases import add_line, send_purchase
from blends.services.receiving import receive_delivery
from blends.services.suppliers import add_supplier
from blends.services.terminations import record_termination
from tests.fieldlog.visit_bodies import visit_bodies
from tests.fieldlog.work_bodies import work_bodies
from tests.planting_day import PlantingDay, species

TAG_SAID = {
    "variety": "v", "lot_number": "A7", "origin": "hill", "purity_pct": "98", "other_crop_pct": "0.5", "weed_seed_pct": "0.5",
    "inert_pct": "1", "germination_pct": "80", "hard_pct": "5", "dormant_pct": "1", "noxious": "none", "test_month": "2026-01-01",
    "treatment": "none", "note": "n",
}  # fmt: skip


def out_alone(plot_id, user_id):
    return {
        "began_at": "2026-09-01T08:00:00Z", "back_by": "2026-09-01T09:00:00Z", "ended_at": "2026-09-01T08:50:00Z", "plot_id": plot_id,
        "lon": -92.0, "lat": 38.0, "accuracy_m": 4.5, "note": "n", "recorded_by": user_id, "phone_id": None, "sent_at": None,
    }  # fmt: skip


def bodies(farm, owner, make_plot):
    """[(method, path, body)]; each is taken as things stand."""
    day = PlantingDay(farm, owner, make_plot)
    season, plot, machine = day.season, day.plots[0], day.machine
    lot = day.lots["cereal_rye"]
    rye, clover = species("cereal_rye"), species("crimson_clover")
    supplier = add_supplier(property=farm, name="Hill mill")
    lister = add_supplier(property=farm, name="Lister")
    offer = Offer.objects.create(
        property=farm, supplier=supplier, species=rye, pack_lb=Decimal(50), price_usd=Decimal(22)
    )
    more = Offer.objects.create(
        property=farm, supplier=supplier, species=clover, pack_lb=Decimal(25), price_usd=Decimal(60)
    )
    draft, sent = (start_purchase(order=season.order, supplier=supplier, user=owner) for _ in range(2))
    lines = [add_line(purchase=each, offer=offer, packs=4, user=owner) for each in (draft, sent)]
    send_purchase(purchase=sent, user=owner, on=date(2026, 3, 1))
    receipt = receive_delivery(
        property=farm,
        user=owner,
        purchase=sent,
        received_on=date(2026, 3, 2),
        rows=[{"line": lines[1], "packs": 1}],
    )
    got = receipt.lots.get()
    caught = {"setting": Decimal(30), "caught_g": [40], "course_ft": Decimal(150)}
    calibration = record_calibration(machine=machine, user=owner, **caught)
    packet = add_inoculant(
        property=farm,
        user=owner,
        inoculant_group="clover group, berseem strain",
        received_on=date(2026, 3, 1),
    )
    test = add_test(
        lot=lot, user=owner, kind="germination", tested_on=date(2026, 4, 1), germination_pct=Decimal(85)
    )
    [entry] = stock.lose(
        lot=day.lots["crimson_clover"], lb=1, on=date(2026, 8, 20), user=owner, reason="Mice"
    )
    listed = receive_list(
        property=farm,
        user=owner,
        supplier=lister,
        text="Seed,Bag,Price\nHill oats,50,22\nSomething else,50,30",
    )
    stored = receive_list(
        property=farm,
        user=owner,
        supplier=lister,
        text="Seed,Bag,Price\nHill oats,50,22\nSomething else,50,30",
    )
    answer_names(property=farm, answers={"Hill oats": rye})
    store_list(price_list=stored)
    planting = season.plantings.get(plot=plot)
    record, _ = record_planting(
        id=uuid4(),
        planting=planting,
        user=owner,
        said={"done_on": date(2026, 9, 1), "acres": Decimal(1)},
        seeds=[{"lot_id": lot.pk, "used_lb": Decimal(3)}],
    )
    ended, _ = record_termination(
        id=uuid4(),
        planting=planting,
        user=owner,
        said={"method": "crimped", "done_on": date(2026, 9, 10), "follow_up": "Look"},
    )
    other = day.plots[1].pk
    S = f"seasons/{season.slug}"
    seeds = [
        {
            "lot_id": lot.pk,
            "species_id": None,
            "blend_id": None,
            "loaded_lb": "10",
            "left_lb": None,
            "used_lb": None,
            "box": "main",
        }
    ]
    planted = {
        "done_on": "2026-09-05", "started_at": "08:00", "ended_at": "09:00", "acres": "1.2", "is_by_meter": True, "operator": "Ada",
        "hours_start": "1", "hours_end": "2", "settings": {"main": "30"}, "depth_in": "1", "depths_checked_in": [1.0], "soil_temp_f": "55",
        "soil_temp_depth_in": "2", "weather": "calm", "note": "", "machine_id": machine.pk, "hopper_left_lb": None,
        "boxes_left_lb": {"main": "4", "small": None}, "is_counted": False, "seeds": seeds,
    }  # fmt: skip
    stopped = {
        "method": "herbicide", "done_on": "2026-09-06", "acres": "1", "stage": "", "dry_g": "20", "frames": 2, "frame_ft2": "1", "operator": "Ada",
        "weather": "calm", "follow_up": "look", "follow_up_on": "2026-09-20", "sprayed_until": "2026-09-06T10:00:00Z", "applicator_licence": "", "note": "",
        "products": [{"name": "Burn", "registration_number": "1-2", "rate": "22", "rate_unit": "fl oz/ac", "reentry_h": "12", "grazing_days": 3, "planting_days": 0}],
    }  # fmt: skip
    offered = {
        "supplier_id": supplier.pk, "species_id": rye.pk, "blend_id": None, "variety": "v", "pack_lb": "50", "quoted_per": "pack", "quoted_usd": "20",
        "breaks": [{"from_packs": 10, "quoted_usd": "18"}], "least_packs": 1, "most_packs": 20, **TAG_SAID, "quoted_on": "2026-01-01", "valid_until": "2027-01-01",
    }  # fmt: skip
    del offered["lot_number"], offered["note"]
    came = {**TAG_SAID, "place": "Barn", "packs": 1, "lb": "50", "goods_usd": "22"}
    supplied = {"name": "New mill", "address": "a", "contact": "c", "terms": "t", "min_order_usd": "1", "freight_kind": "flat", "freight_usd": "1",
                "freight_usd_per_lb": None, "freight_pct": None, "freight_free_from_usd": "100", "is_archived": False}  # fmt: skip
    drill = {"name": "Old", "kind": "drill", "openers": 12, "spacing_in": "7", "swath_ft": None, "main_box_ft3": "2", "small_box_ft3": "1",
             "setting_low": "0", "setting_high": "100", "course_ft": "100", "note": "", "is_archived": False}  # fmt: skip
    return [
        (
            "POST",
            "inoculants/",
            {
                "inoculant_group": "clover group, berseem strain",
                "lot_number": "1",
                "treats_lb": "50",
                "received_on": "2026-03-01",
                "expires_on": "2027-03-01",
                "kept_at": "x",
                "cost_usd": "3",
                "used_up_on": "2026-04-01",
                "note": "",
            },
        ),
        (
            "PATCH",
            f"inoculants/{packet.pk}/",
            {
                "inoculant_group": "clover group, berseem strain",
                "lot_number": "1",
                "treats_lb": "50",
                "received_on": "2026-03-01",
                "expires_on": "2027-03-01",
                "kept_at": "x",
                "cost_usd": "3",
                "used_up_on": "2026-04-01",
                "note": "",
            },
        ),
        ("PATCH", f"lots/{lot.pk}/", TAG_SAID),
        (
            "POST",
            f"lots/{lot.pk}/entries/",
            {
                "kind": "lost",
                "lb": "1",
                "on": "2026-09-02",
                "place": "",
                "to_place": "Barn",
                "reason": "Mice",
            },
        ),
        (
            "POST",
            f"lots/{lot.pk}/entries/",
            {
                "kind": "moved",
                "lb": "1",
                "on": "2026-09-02",
                "place": "",
                "to_place": "Barn",
                "reason": "Mice",
            },
        ),
        (
            "POST",
            f"lots/{lot.pk}/entries/",
            {
                "kind": "counted",
                "lb": "1",
                "on": "2026-09-02",
                "place": "",
                "to_place": "Barn",
                "reason": "Mice",
            },
        ),
        ("POST", f"lots/{entry.lot_id}/entries/{entry.pk}/take-back/", {"reason": "x"}),
        (
            "POST",
            f"lots/{lot.pk}/tests/",
            {
                "kind": "germination",
                "tested_on": "2026-05-01",
                "germination_pct": "80",
                "hard_pct": "1",
                "dormant_pct": "1",
                "seeds_tested": 400,
                "tested_by": "lab",
            },
        ),
        ("PATCH", f"lots/{lot.pk}/tests/{test.pk}/", {"is_struck": True}),
        (
            "POST",
            "lots/counts/",
            {"place": "", "on": "2026-09-05", "counts": [{"lot_id": lot.pk, "lb": "3"}]},
        ),
        ("POST", "machines/", drill),
        ("PATCH", f"machines/{machine.pk}/", drill),
        ("PUT", f"machines/{machine.pk}/boxes/", [{"species_id": rye.pk, "box": "small"}]),
        (
            "POST",
            f"machines/{machine.pk}/calibrations/",
            {
                "box": "main",
                "blend_id": planting.blend_id,
                "species_id": None,
                "calibrated_on": "2026-01-01",
                "setting": "20",
                "gear": "",
                "caught_g": ["40"],
                "course_ft": "100",
                "rows_per_catch": 1,
                "lb_per_ft3": "40",
                "note": "",
            },
        ),
        ("PATCH", f"machines/{machine.pk}/calibrations/{calibration.pk}/", {"is_struck": True}),
        ("POST", "offers/", offered),
        ("PUT", f"offers/{offer.pk}/", offered),
        ("PATCH", f"offers/{offer.pk}/", offered | {"is_withdrawn": True}),
        (
            "PUT",
            f"planting-records/{uuid4()}/",
            {"season": season.slug, "plot_id": plot.pk, "recorded_by": owner.pk, **planted},
        ),
        ("PATCH", f"planting-records/{record.pk}/", {"id": str(uuid4()), **planted}),
        (
            "POST",
            "price-lists/",
            {"supplier_id": supplier.pk, "text": "Seed,Bag,Price\nHill oats,50,22", "file_name": "a.csv"},
        ),
        (
            "PATCH",
            f"price-lists/{listed.pk}/",
            {
                "columns": {"item": 0, "pack": 1, "price": 2},
                "heading_row": 1,
                "names": [{"name": "Hill oats", "species_id": rye.pk, "blend_id": None}],
                "is_set_aside": False,
            },
        ),
        (
            "PATCH",
            f"price-lists/{stored.pk}/",
            {
                "names": [{"name": "Something else", "species_id": rye.pk, "blend_id": None}],
                "rows": [{"row": 2, "cells": {"2": "23"}}],
            },
        ),
        ("POST", f"price-lists/{listed.pk}/accept/", {}),
        ("POST", "purchases/", {"season": season.slug, "supplier_id": supplier.pk}),
        (
            "PATCH",
            f"purchases/{draft.number}/",
            {
                "note": "n",
                "terms": "t",
                "wanted_by": "2026-08-01",
                "freight_usd": "4",
                "lines": [{"id": lines[0].pk, "packs": 2, "price_usd": "21"}],
                "add": [{"offer_id": more.pk, "packs": 1, "price_usd": "3"}],
            },
        ),
        (
            "PATCH",
            f"purchases/{sent.number}/",
            {
                "note": "n",
                "terms": "t",
                "wanted_by": "2026-08-01",
                "freight_usd": "4",
                "lines": [{"id": lines[1].pk, "packs": 2, "price_usd": "21"}],
                "add": [{"offer_id": more.pk, "packs": 1, "price_usd": "3"}],
            },
        ),
        ("POST", f"purchases/{draft.number}/send/", {"sent_on": "2026-03-01"}),
        ("POST", f"purchases/{sent.number}/close/", {"because": "out"}),
        (
            "POST",
            "receipts/",
            {
                "received_on": "2026-03-05",
                "invoice": "1",
                "note": "",
                "freight_usd": "3",
                "purchase": sent.number,
                "supplier_id": None,
                "lots": [{**came, "line_id": lines[1].pk, "species_id": None, "blend_id": None}],
                "dry": False,
            },
        ),
        (
            "POST",
            "receipts/",
            {
                "received_on": "2026-03-05",
                "freight_usd": "3",
                "supplier_id": supplier.pk,
                "lots": [{"lb": "3", "goods_usd": "3", "species_id": rye.pk}],
                "dry": True,
            },
        ),
        (
            "PATCH",
            f"receipts/{receipt.pk}/",
            {
                "received_on": "2026-03-05",
                "invoice": "1",
                "note": "",
                "freight_usd": "3",
                "lots": [{**came, "id": got.pk}],
            },
        ),
        (
            "POST",
            f"receipts/{receipt.pk}/lots/",
            {**came, "line_id": lines[1].pk, "species_id": None, "blend_id": None},
        ),
        ("POST", f"receipts/{receipt.pk}/undo/", {"reason": "x"}),
        (
            "POST",
            f"{S}/order/substitutions/",
            {"species_id": rye.pk, "instead_id": species("winter_wheat").pk, "reason": "x"},
        ),
        (
            "POST",
            f"{S}/order/ways/",
            {
                "most_suppliers": 2,
                "swaps": [{"species_id": rye.pk, "instead_id": species("winter_wheat").pk}],
                "seconds": 1,
            },
        ),
        ("PUT", f"{S}/planting/{other}/lots/", {"choices": [{"lot_id": lot.pk, "lb": "3"}]}),
        ("POST", f"{S}/planting/clear/", {"plots": [other]}),
        ("POST", f"{S}/planting/fill/", {"plots": [other]}),
        ("PUT", f"terminations/{uuid4()}/", {"season": season.slug, "plot_id": plot.pk, **stopped}),
        ("PATCH", f"terminations/{ended.pk}/", {"id": str(uuid4()), **stopped}),
        ("POST", f"terminations/{ended.pk}/strike/", {"reason": "x"}),
        ("POST", f"terminations/{ended.pk}/follow-up/", {"done_on": "2026-10-01"}),
        ("PATCH", "", {"address": "a", "order_terms": "b", "name": "n", "last_frost_on": "04-20"}),
        ("PUT", f"check-ins/{uuid4()}/", out_alone(plot.pk, owner.pk)),
        ("POST", "suppliers/", supplied),
        ("PATCH", f"suppliers/{supplier.pk}/", supplied),
        (
            "POST",
            "protocols/",
            {
                "kind": "stand",
                "name": "n",
                "instructions": "i",
                "settings": {"method": "frame", "frame_ft2": 2, "by_species": True},
                "is_on": True,
                "plot_ids": [plot.pk],
                "every_days": 14,
            },
        ),
        (
            "PUT",
            "protocols/rain/",
            {
                "name": "n",
                "instructions": "i",
                "settings": {},
                "is_on": True,
                "plot_ids": [plot.pk],
                "every_days": 14,
            },
        ),
        *work_bodies(farm, owner, plot),
        *visit_bodies(farm, owner, plot),
    ]
