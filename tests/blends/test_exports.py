import csv
import io
import json
from decimal import Decimal

import pytest
from openpyxl import load_workbook
from rest_framework.renderers import JSONRenderer

from blends.api.order_serializers import OrderSerializer
from blends.exports import order_csv, order_json, order_xlsx
from blends.models import Supplier
from blends.services.orders import recompute_order, set_terms
from blends.services.seasons import assign
from config.errors import Conflict, Refused
from config.spreadsheets import defused


def csv_rows(order):
    return list(csv.DictReader(io.StringIO(order_csv(order).decode("utf-8-sig"), newline="")))


def test_csv_holds_the_order_as_by_hand(small_property):
    rows = {row["Item"]: row for row in csv_rows(small_property)}
    oats = rows["Oats"]
    assert (oats["Needed with overage (bulk lb)"], oats["Packs"], oats["Cost bought (USD)"]) == (
        "196.429",
        "4",
        "88.00",
    )
    assert (oats["Pure live seed (%)"], oats["Pure live seed is"]) == ("88.2", "from the tag")
    assert rows["Crimson clover"]["Pure live seed is"] == "assumed"
    assert rows["Bag"]["Pure live seed (%)"] == ""


def test_csv_begins_with_a_byte_order_mark_and_ends_lines_as_rfc_4180_says(small_property):
    data = order_csv(small_property)
    assert data.startswith(b"\xef\xbb\xbfItem,")
    assert data.count(b"\r\n") == data.count(b"\n") == 4


def test_json_has_the_api_shape_and_survives_a_round_trip(small_property):
    body = json.loads(JSONRenderer().render(order_json(small_property)))
    assert set(body) == set(OrderSerializer().fields)
    assert body["totals"]["cost_bought_usd"] == "288.00"
    assert body["totals"]["cost_bought_usd_per_acre"] == "72.00"
    assert {line["item"]: line["packs"] for line in body["lines"]} == {
        "Crimson clover": 1,
        "Oats": 4,
        "Bag": 4,
    }
    assert sum(Decimal(plot["cost_bought_usd"]) for plot in body["plots"]) == 288


def test_workbook_holds_numbers_as_numbers_with_units_in_the_headers(small_property):
    book = load_workbook(io.BytesIO(order_xlsx(small_property)))
    assert book.sheetnames == ["Order", "Plots", "Blends", "Assumptions"]
    header, *rows = book["Order"].iter_rows(values_only=True)
    oats = dict(zip(header, next(row for row in rows if row[0] == "Oats"), strict=True))
    assert (oats["Packs"], oats["To buy (bulk lb)"], oats["Cost bought (USD)"]) == (4, 166.429, 88)
    plots = dict(zip(*list(book["Plots"].iter_rows(values_only=True))[:2], strict=True))
    assert (plots["Plot"], plots["Acres"], plots["Cost bought (USD/ac)"]) == ("Creek", 1.5, 93.33)
    facts = dict(book["Assumptions"].iter_rows(values_only=True, max_row=12))
    assert (facts["Overage (%)"], facts["Property: Cost bought (USD)"]) == (10, 288)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_would_be_a_formula_is_defused(start):
    assert defused(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("value", [-1.5, Decimal("-2.00"), None, "Oats", "a=b"])
def test_numbers_and_plain_text_stay_as_they_are(value):
    assert defused(value) == value


def test_no_cell_of_the_files_is_a_formula(small_property):
    Supplier.objects.update(name='=HYPERLINK("http://x","y")\x07')
    assert {row["Supplier"] for row in csv_rows(small_property)} == {'\'=HYPERLINK("http://x","y")'}
    for sheet in load_workbook(io.BytesIO(order_xlsx(small_property))):
        assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)


@pytest.mark.parametrize("export", [order_csv, order_xlsx])
def test_stale_figures_are_not_handed_out_as_a_file(small_property, export):
    set_terms(order=small_property, overage_pct=7, assumed_purity_pct=98, assumed_germination_pct=85)
    with pytest.raises(Conflict, match="computed again"):
        export(small_property)


@pytest.mark.parametrize("export", [order_csv, order_xlsx])
def test_stopped_order_is_not_handed_out_as_a_file(order, owner, make_plot, make_mixed, export):
    assignments = [
        {"plot_id": make_plot(f"Plot {i}", lon=-92 + i).pk, "blend_id": make_mixed(f"Empty {i}", {}).pk}
        for i in range(2)
    ]
    assign(season=order.season, user=owner, assignments=assignments)
    recompute_order(order.pk)
    order.refresh_from_db()
    with pytest.raises(Refused, match=r"stopped\. Empty 0 has no components.* 1 more such problem\.$"):
        export(order)


def test_item_without_an_offer_leaves_its_cells_empty(order, owner, make_plot, make_mixed):
    blend = make_mixed("Grain", {"oats": ("60", None)})
    assign(season=order.season, user=owner, assignments=[{"plot_id": make_plot().pk, "blend_id": blend.pk}])
    recompute_order(order.pk)
    order.refresh_from_db()
    [row] = csv_rows(order)
    assert (row["Packs"], row["Cost bought (USD)"], row["Supplier"]) == ("", "", "")
    assert float(row["To buy (bulk lb)"]) == pytest.approx(2 * 60 / 0.833 * 1.05, abs=1e-3)
