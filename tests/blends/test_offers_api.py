"""Suppliers, offers and price lists by the API."""

import io
import json
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import Workbook

from blends.models import Offer, PriceList
from tests.blends.pages import signed_in
from tests.blends.test_offers import sent

TABLE = "Seed,Bag,Price,10+ bags\nHill oats,50,22.50,21\nRye,half,20,"


@pytest.fixture
def call(farm, owner):
    client = signed_in(owner)

    def call(method, path, body=None, status=200, **how):
        address = f"/api/v1/properties/{farm.slug}/{path}"
        if how:
            answer = client.post(address, **how)
        else:
            answer = client.generic(method, address, *_json(body))
        assert answer.status_code == status, answer.content
        return answer.json() if answer.content else None

    return call


def _json(body):
    return json.dumps(body if body is not None else {}), "application/json"


@pytest.fixture
def mill(call):
    return call("POST", "suppliers/", {"name": "Mill"}, status=201)


def test_supplier_with_its_terms_is_made_changed_and_archived(call):
    body = {"name": "Mill", "freight_kind": "weight", "freight_usd_per_lb": "0.0850", "min_order_usd": "250"}
    made = call("POST", "suppliers/", body, status=201)
    assert (made["freight_usd_per_lb"], made["min_order_usd"]) == ("0.0850", "250.00")
    changed = call("PATCH", f"suppliers/{made['id']}/", {"address": "1 Mill Lane", "is_archived": True})
    assert (changed["address"], changed["is_archived"], changed["freight_kind"]) == (
        "1 Mill Lane",
        True,
        "weight",
    )
    assert call("GET", "suppliers/")["results"] == []
    assert call("GET", "suppliers/?archived=1")["count"] == 1
    assert not call("PATCH", f"suppliers/{made['id']}/", {"is_archived": False})["is_archived"]


def test_freight_without_its_figure_is_refused_at_the_field(call, mill):
    error = call("PATCH", f"suppliers/{mill['id']}/", {"freight_kind": "flat"}, status=400)["error"]
    assert "needs a figure" in error["fields"]["freight_usd"][0]


def test_offer_has_everything_that_its_page_has(call, mill, species):
    body = {
        "supplier_id": mill["id"],
        "species_id": species("oats").pk,
        "pack_lb": "50",
        "quoted_per": "pls_lb",
        "quoted_usd": "0.50",
        "breaks": [{"from_packs": 10, "quoted_usd": "0.45"}],
        "purity_pct": "98",
        "germination_pct": "90",
        "weed_seed_pct": "0.05",
        "test_month": "2026-09-01",
        "valid_until": "2026-12-31",
        "most_packs": 5,
    }
    made = call("POST", "offers/", body, status=201)
    assert made["price_usd"] == "22.05"  # 50 × 0.98 × 0.90 × 0.50
    assert made["breaks"] == [{"from_packs": 10, "quoted_usd": "0.4500", "price_usd": "19.85"}]
    assert (made["weed_seed_pct"], made["test_month"], made["said"]) == ("0.05", "2026-09-01", None)
    assert "never reached" in made["notes"][0]
    assert call("PUT", f"offers/{made['id']}/", made)["price_usd"] == "22.05"
    changed = call("PATCH", f"offers/{made['id']}/", {"quoted_usd": "0.60", "is_withdrawn": True})
    assert (changed["price_usd"], changed["is_withdrawn"], len(changed["breaks"])) == ("26.46", True, 1)
    assert not call("PATCH", f"offers/{made['id']}/", {"is_withdrawn": False})["is_withdrawn"]


@pytest.mark.parametrize("half", [{}, {"from_packs": 5}, {"quoted_usd": "20"}])
def test_half_a_price_break_is_refused_at_its_field(call, mill, species, half):
    whole = {"from_packs": 10, "quoted_usd": "45"}
    body = {"supplier_id": mill["id"], "species_id": species("oats").pk, "pack_lb": "50", "price_usd": "50"}
    made = call("POST", "offers/", body | {"breaks": [whole]}, status=201)
    fields = call("PATCH", f"offers/{made['id']}/", {"breaks": [half]}, status=400)["error"]["fields"]
    assert fields == {f"breaks.0.{name}": ["This field is required."] for name in whole.keys() - half.keys()}
    assert call("GET", f"offers/{made['id']}/")["breaks"] == made["breaks"]


def test_offer_that_was_ordered_answers_with_the_one_in_its_place(call, small_property, species):
    old = Offer.objects.get(species=species("oats"))
    sent(small_property, old)
    new = call("PATCH", f"offers/{old.pk}/", {"quoted_usd": "30"})
    assert (new["replaces_id"], new["price_usd"]) == (old.pk, "30.00")
    assert "Kept as it was: cool season 2027" in new["said"]
    assert call("GET", f"offers/{old.pk}/")["replaced_by_id"] == new["id"]


def test_price_list_is_matched_stored_corrected_and_taken_back(call, mill, species):
    made = call("POST", "price-lists/", {"supplier_id": mill["id"], "text": TABLE}, status=201)
    at = f"price-lists/{made['id']}/"
    assert made["columns"] == {"seed": 0, "pack_lb": 1, "price:pack": 2, "break:10": 3}
    assert [name["name"] for name in made["names"]] == ["Hill oats", "Rye"]
    names = [
        {"name": "Hill oats", "species_id": species("oats").pk},
        {"name": "Rye", "species_id": species("cereal_rye").pk},
    ]
    matched = call("PATCH", at, {"names": names})
    assert matched["counts"] == {"new": 1, "replaces": 0, "unchanged": 0, "left_out": 1}
    stored = call("POST", f"{at}accept/")
    assert (stored["state"], stored["left_out"][0]["line"]) == ("stored", 3)
    assert call("POST", f"{at}accept/", status=409)["error"]["code"] == "conflict"
    mended = call("PATCH", at, {"rows": [{"row": 2, "cells": {"1": "50 lb"}}]})
    assert mended["left_out"] == []
    assert set(Offer.objects.values_list("price_usd", flat=True)) == {Decimal("22.50"), 20}
    assert call("POST", f"{at}take-back/")["state"] == "matching"
    assert not Offer.objects.filter(is_withdrawn=False).exists()
    assert call("PATCH", at, {"is_set_aside": True})["state"] == "set_aside"


def test_price_list_is_sent_as_a_file(call, mill):
    book = Workbook()
    for row in (["Seed", "Bag", "Price"], ["Oats", 50, 22.5]):
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    upload = SimpleUploadedFile("spring.xlsx", stream.getvalue())
    made = call("POST", "price-lists/", status=201, data={"supplier_id": mill["id"], "file": upload})
    assert made["file_name"] == "spring.xlsx, sheet Sheet"
    assert made["rows"][0]["reason"] == "Nobody has said yet which seed “Oats” is."


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"text": "Seed;Price"}, "text"),
        ({}, "text"),
        ({"supplier_id": 999_999, "text": TABLE}, "supplier_id"),
        ({"text": "Seed,Price\nOats\x00,22"}, "text"),
    ],
)
def test_list_that_cannot_be_read_is_refused_at_the_field(call, mill, body, field):
    error = call("POST", "price-lists/", {"supplier_id": mill["id"]} | body, status=400)["error"]
    assert field in error["fields"]
    assert not PriceList.objects.exists()


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"names": [{"name": "Rye", "species_id": 999_999}]}, "not one that this property has"),
        ({"heading_row": 2}, "cannot be the headings"),
        ({"rows": [{"row": 1, "cells": {"1": "x"}}]}, "not stored yet"),
        ({"rows": [{"row": 1, "cells": {"x": "x"}}]}, "is no column"),
        ({"columns": [1]}, "dictionary"),
    ],
)
def test_matching_that_cannot_be_changes_nothing(call, mill, body, said):
    made = call("POST", "price-lists/", {"supplier_id": mill["id"], "text": TABLE}, status=201)
    status = 409 if "not stored yet" in said else 400
    assert said in call("PATCH", f"price-lists/{made['id']}/", body, status=status)["error"]["message"]


def test_columns_that_make_no_sense_are_said_and_stop_the_storing(call, mill):
    made = call("POST", "price-lists/", {"supplier_id": mill["id"], "text": TABLE}, status=201)
    at = f"price-lists/{made['id']}/"
    for columns in (
        {"seed": 99},
        {"seed": {"a": 1}, "variety": {"a": 1}},
        {"seed": "0"},
        {"colour": 1},
        {"all:pack_lb": 5},
        {"seed": True},
    ):
        assert call("PATCH", at, {"columns": columns})["wrong"], columns
        assert call("POST", f"{at}accept/", status=400)["error"]["fields"]["columns"]
