"""Deliveries: what came, and what it cost for roles that include costs."""

from contextlib import contextmanager

from django.core.exceptions import PermissionDenied
from django.db import transaction
from drf_spectacular.utils import extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import purchase_for, receipt_for, species_rows
from blends.api.purchase_serializers import (
    DeliveryChangesSerializer,
    NewDeliverySerializer,
    NewLotSerializer,
    ReceiptSerializer,
    ReceiptUndoneSerializer,
)
from blends.models import Blend, Supplier
from blends.queries.purchases import receipts_of
from blends.services.receiving import (
    DELIVERY_FIELDS,
    add_lot,
    correct_delivery,
    receive_delivery,
    undo_delivery,
)
from config.errors import SwardbookError, refuse
from plots.access import COSTS, EDIT, RECORD, check_may_correct, property_for


@contextmanager
def _by_lots():
    """Name a row of a refusal as the body has it."""
    try:
        yield
    except SwardbookError as error:
        error.fields = {
            f"lots.{name.removeprefix('rows.')}" if name.startswith("rows.") else name: said
            for name, said in error.fields.items()
        }
        raise


def _answer(property, receipt, code=status.HTTP_200_OK):
    [receipt] = receipts_of(property).filter(pk=receipt.pk)
    context = {"with_costs": COSTS in property.allowed, "is_detail": True}
    return Response(ReceiptSerializer(receipt, context=context).data, status=code)


class Receipts(generics.GenericAPIView):
    @extend_schema(responses=ReceiptSerializer(many=True))
    def get(self, request, slug):
        """Deliveries, the latest first; what stands against a tag is with each one."""
        property = property_for(request.user, slug)
        page = self.paginate_queryset(receipts_of(property))
        context = {"with_costs": COSTS in property.allowed}
        return self.get_paginated_response(ReceiptSerializer(page, many=True, context=context).data)

    @extend_schema(request=NewDeliverySerializer, responses={201: ReceiptSerializer, 200: ReceiptSerializer})
    def post(self, request, slug):
        """Enter a delivery: a lot for each tag; its freight is shared among them to the cent."""
        property = property_for(request.user, slug, RECORD)
        given = NewDeliverySerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        _check_money(property, values, values["lots"])
        number, supplier_id = values.pop("purchase", None), values.pop("supplier_id", None)
        purchase = purchase_for(request.user, slug, number, RECORD) if number else None
        supplier = None
        if supplier_id:
            rows = Supplier.objects.filter(property=property)
            supplier = _named(rows, supplier_id, "supplier_id", "Supplier")
        is_dry, lots = values.pop("dry"), values.pop("lots")
        rows = [_row(property, purchase, position, dict(row)) for position, row in enumerate(lots)]
        with _by_lots(), transaction.atomic():
            receipt = receive_delivery(
                property=property,
                user=request.user,
                purchase=purchase,
                supplier=supplier,
                rows=rows,
                **values,
            )
            answer = _answer(property, receipt, status.HTTP_200_OK if is_dry else status.HTTP_201_CREATED)
            transaction.set_rollback(is_dry)
        return answer


class ReceiptDetail(generics.GenericAPIView):
    @extend_schema(responses=ReceiptSerializer)
    def get(self, request, slug, receipt_id):
        """One delivery with its lots and what stands against their tags."""
        receipt = receipt_for(request.user, slug, receipt_id)
        return _answer(receipt.property, receipt)

    @extend_schema(request=DeliveryChangesSerializer, responses=ReceiptSerializer)
    def patch(self, request, slug, receipt_id):
        """Correct it; what it said before is kept, and the freight is shared anew."""
        receipt = _own(request, slug, receipt_id)
        given = DeliveryChangesSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        lots = [dict(row) for row in values.get("lots", [])]
        _check_money(receipt.property, values, lots)
        for position, row in enumerate(lots):
            row["lot"] = _named(receipt.lots.all(), row.pop("id"), f"lots.{position}.id", "Lot")
        details = {name: values[name] for name in DELIVERY_FIELDS if name in values}
        with _by_lots():
            correct_delivery(receipt=receipt, user=request.user, lots=lots, **details)
        return _answer(receipt.property, receipt)


class ReceiptLots(generics.GenericAPIView):
    @extend_schema(request=NewLotSerializer, responses={201: ReceiptSerializer})
    def post(self, request, slug, receipt_id):
        """One more lot of a delivery."""
        receipt = _own(request, slug, receipt_id)
        given = NewLotSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        row = dict(given.validated_data)
        _check_money(receipt.property, {}, [row])
        row = _row(receipt.property, receipt.purchase, 0, row)
        add_lot(receipt=receipt, row=row, user=request.user)
        return _answer(receipt.property, receipt, status.HTTP_201_CREATED)


class UndoReceipt(generics.GenericAPIView):
    @extend_schema(request=ReceiptUndoneSerializer, responses=ReceiptSerializer)
    def post(self, request, slug, receipt_id):
        """Take a whole delivery back, while nothing of its seed was used."""
        receipt = _own(request, slug, receipt_id)
        given = ReceiptUndoneSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        undo_delivery(receipt=receipt, user=request.user, **given.validated_data)
        return _answer(receipt.property, receipt)


def _own(request, slug, receipt_id):
    receipt = receipt_for(request.user, slug, receipt_id, RECORD)
    check_may_correct(request.user, receipt.property, receipt)
    return receipt


def _check_money(property, values, rows):
    if EDIT in property.allowed:
        return
    if "freight_usd" in values or any("goods_usd" in row for row in rows):
        raise PermissionDenied(
            "What seed costs is entered by a manager or the owner; leave prices and freight out."
        )


def _row(property, purchase, position, row):
    """A row with the things that it names by their ids; other properties' are as if not there."""
    for name, rows, words in (
        ("line", purchase.lines.select_related("offer", "species", "blend") if purchase else None, "Line"),
        ("species", species_rows(property), "Species"),
        ("blend", Blend.objects.filter(property=property), "Blend"),
    ):
        row_id = row.pop(f"{name}_id", None)
        if row_id is not None:
            field = f"lots.{position}.{name}_id"
            if rows is None:
                refuse(field, f"Line {row_id} needs the number of its purchase order beside it.")
            row[name] = _named(rows, row_id, field, words)
    return row


def _named(rows, row_id, field, words):
    found = rows.filter(pk=row_id).first()
    if found is None:
        refuse(field, f"{words} {row_id} is not one of these.")
    return found
