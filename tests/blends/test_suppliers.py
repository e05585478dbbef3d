from decimal import Decimal

import pytest

from blends.models import PurchaseOrder, Supplier
from blends.services.suppliers import add_supplier, archive_supplier, bring_back_supplier, save_supplier
from config.errors import Conflict, Refused


@pytest.fixture
def mill(farm):
    return add_supplier(property=farm, name="Mill")


def test_supplier_begins_with_nothing_known(mill):
    assert (mill.freight_kind, mill.freight_usd, mill.min_order_usd) == (Supplier.Freight.UNKNOWN, None, None)


def test_name_is_kept_with_single_spaces(farm):
    assert add_supplier(property=farm, name="  Hill   Seed ").name == "Hill Seed"


@pytest.mark.parametrize(
    ("values", "field", "said"),
    [
        ({"name": " "}, "name", "blank"),
        ({"freight_kind": "mule"}, "freight_kind", "“mule”"),
        ({"freight_kind": "flat"}, "freight_usd", "needs a figure"),
        (
            {"freight_kind": "weight", "freight_usd": Decimal(25)},
            "freight_usd_per_lb",
            "needs a figure: charge a pound",
        ),
        ({"freight_kind": "value"}, "freight_pct", "needs a figure"),
        ({"freight_kind": "none", "freight_usd": Decimal(5)}, "freight_usd", "has no such figure"),
        ({"freight_usd": Decimal(5)}, "freight_usd", "“Not known” has no such figure"),
        ({"freight_kind": "value", "freight_pct": Decimal(101)}, "freight_pct", "less than or equal to 100"),
        ({"min_order_usd": Decimal(-1)}, "min_order_usd", "greater than or equal to 0"),
    ],
)
def test_terms_that_cannot_be_are_refused(farm, mill, values, field, said):
    with pytest.raises(Refused, match=said) as refused:
        save_supplier(property=farm, supplier=mill, **values)
    assert field in refused.value.fields
    assert Supplier.objects.get() == mill


def test_what_is_not_given_stays(farm, mill):
    save_supplier(property=farm, supplier=mill, freight_kind="flat", freight_usd=Decimal(45))
    changed = save_supplier(property=farm, supplier=mill, address="1 Mill Lane")
    assert (changed.name, changed.freight_usd, changed.address) == ("Mill", 45, "1 Mill Lane")


def test_unknown_value_and_another_propertys_supplier_are_refused(farm, elsewhere, mill):
    with pytest.raises(Refused, match="“colour” is not a value"):
        save_supplier(property=farm, colour="red")
    with pytest.raises(Refused, match="another property"):
        save_supplier(property=elsewhere, supplier=mill, name="Ours")


def test_supplier_is_archived_and_brought_back(mill):
    assert archive_supplier(supplier=mill).is_archived
    assert not bring_back_supplier(supplier=mill).is_archived


@pytest.mark.parametrize("state", ["draft", "sent", "part"])
def test_supplier_of_an_open_purchase_order_is_not_archived(farm, order, mill, state):
    PurchaseOrder.objects.create(property=farm, number=7, order=order, supplier=mill, state=state)
    with pytest.raises(Conflict, match="purchase order 7 that is not done with"):
        archive_supplier(supplier=mill)
    PurchaseOrder.objects.update(state="closed")
    assert archive_supplier(supplier=mill).is_archived
