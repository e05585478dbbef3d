"""Who sells seed, and on what terms."""

from django.db import transaction

from blends.models import PurchaseOrder, Supplier
from config.errors import Conflict, Refused, refuse
from plots.services.rows import save_clean

SUPPLIER_FIELDS = (
    "name",
    "address",
    "contact",
    "terms",
    "min_order_usd",
    "freight_kind",
    "freight_usd",
    "freight_usd_per_lb",
    "freight_pct",
    "freight_free_from_usd",
)
FREIGHT_FIGURES = {
    Supplier.Freight.UNKNOWN: (),
    Supplier.Freight.NONE: (),
    Supplier.Freight.FLAT: ("freight_usd", "freight_free_from_usd"),
    Supplier.Freight.WEIGHT: ("freight_usd_per_lb", "freight_usd", "freight_free_from_usd"),
    Supplier.Freight.VALUE: ("freight_pct", "freight_usd", "freight_free_from_usd"),
}
"""The figures that each kind of freight is made of; the first one has to be known."""
_OPEN = (PurchaseOrder.State.DRAFT, PurchaseOrder.State.SENT, PurchaseOrder.State.PART_RECEIVED)


def add_supplier(*, property, name):
    """A supplier by name; the rest is not known.

    Raises
    ------
    Refused
        An empty name, or one that the property has already.
    """
    return save_supplier(property=property, name=name)


@transaction.atomic
def save_supplier(*, property, supplier=None, **values):
    """Make a supplier, or change one. Documents that were sent keep what they said.

    Parameters
    ----------
    property : Property
    supplier : Supplier or None
        The one to change; values that are not given stay as they are.
    **values
        SUPPLIER_FIELDS: name, address, contact, terms, the smallest order [USD], and freight by its kind with the
        figures of that kind.

    Raises
    ------
    Refused
        A value that cannot be used; a kind of freight without its figure, or with one of another kind; a name
        that the property has already; a supplier of another property.
    """
    unknown = values.keys() - set(SUPPLIER_FIELDS)
    if unknown:
        raise Refused(
            f"“{min(unknown)}” is not a value of a supplier; accepted are {', '.join(SUPPLIER_FIELDS)}."
        )
    if supplier is None:
        supplier = Supplier(property=property)
    elif supplier.property_id != property.pk:
        raise Refused("This supplier belongs to another property.")
    else:
        supplier = Supplier.objects.select_for_update().get(pk=supplier.pk)
    for field, value in values.items():
        setattr(supplier, field, " ".join(value.split()) if field == "name" else value)
    _check_freight(supplier)
    return save_clean(supplier)


@transaction.atomic
def archive_supplier(*, supplier):
    """Set a supplier aside: its offers are kept, and not offered for new choices.

    Raises
    ------
    Conflict
        A purchase order with it is not done with.
    """
    row = Supplier.objects.select_for_update().get(pk=supplier.pk)
    numbers = row.purchase_orders.filter(state__in=_OPEN).order_by("number").values_list("number", flat=True)
    if numbers:
        orders = ", ".join(map(str, numbers))
        raise Conflict(
            f"{row} has purchase order{'' if len(numbers) == 1 else 's'} {orders} that "
            f"{'is' if len(numbers) == 1 else 'are'} not done with; receive or close "
            f"{'it' if len(numbers) == 1 else 'them'} first."
        )
    row.is_archived = True
    row.save(update_fields=["is_archived"])
    return row


@transaction.atomic
def bring_back_supplier(*, supplier):
    row = Supplier.objects.select_for_update().get(pk=supplier.pk)
    row.is_archived = False
    row.save(update_fields=["is_archived"])
    return row


def _check_freight(supplier):
    if supplier.freight_kind not in Supplier.Freight.values:
        kinds = ", ".join(map(repr, Supplier.Freight.values))
        refuse("freight_kind", f"Freight is “{supplier.freight_kind}”; accepted are {kinds}.")
    kind = Supplier.Freight(supplier.freight_kind)
    its = FREIGHT_FIGURES[kind]
    if its and getattr(supplier, its[0]) is None:
        refuse(its[0], f"“{kind.label}” needs a figure: {_label(its[0])}.")
    for field in ("freight_usd", "freight_usd_per_lb", "freight_pct", "freight_free_from_usd"):
        if field not in its and getattr(supplier, field) is not None:
            value, label = getattr(supplier, field), _label(field)
            refuse(
                field,
                f"{label[0].upper()}{label[1:]} is {value}, and freight “{kind.label}” has no such figure; leave it out.",
            )


def _label(field):
    return Supplier._meta.get_field(field).verbose_name
