"""Seed in stock: lots, their ledger, their tests; inoculant. Costs only for roles that include them."""

from django.db import transaction
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response
from rest_framework.views import APIView

from blends.access import inoculant_for, lot_for
from blends.api.stock_serializers import (
    InoculantSerializer,
    LotChangeSerializer,
    LotSerializer,
    LotTestSerializer,
    LotTestStruckSerializer,
    NewStockEntrySerializer,
    StockCountedSerializer,
    StockCountsSerializer,
    StockEntrySerializer,
    StockTakeBackSerializer,
    TagPhotoSerializer,
)
from blends.models import Lot
from blends.photos import photo_answer
from blends.queries.inoculants import inoculants_of, mark
from blends.queries.lots import lots_of
from blends.queries.stock import entry_of, ledger_of, searched_lots, stock_rows
from blends.services import stock
from blends.services.inoculants import add_inoculant, correct_inoculant, use_up
from blends.services.lots import (
    add_test,
    check_may_take_back,
    correct_lot,
    count_several,
    set_tag_photo,
    strike_test,
    take_back_entry,
)
from blends.services.tag_photos import MOST_BYTES
from config.errors import SwardbookError, refuse
from plots.access import COSTS, EDIT, RECORD, check_may_correct, property_for
from plots.uploads import takes_files


def _context(property):
    return {"with_costs": COSTS in property.allowed}


def _answered(lot):
    """The lot as it is stored."""
    rows = stock_rows(lots_of(lot.property, pk=lot.pk), with_costs=COSTS in lot.property.allowed)
    return LotSerializer(rows[0], context=_context(lot.property)).data


class Lots(generics.GenericAPIView):
    @extend_schema(
        responses=LotSerializer(many=True),
        parameters=[
            OpenApiParameter(
                "search", str, description="Words of name, variety, number, origin or treatment."
            ),
            OpenApiParameter("all", bool, description="Also those with nothing left."),
        ],
    )
    def get(self, request, slug):
        """The property's seed lots that have pounds on hand."""
        property = property_for(request.user, slug)
        lots = searched_lots(property, request.query_params.get("search", ""))
        if request.query_params.get("all") not in ("true", "1"):
            lots = lots.filter(on_hand_lb__gt=0)
        rows = stock_rows(self.paginate_queryset(lots), with_costs=COSTS in property.allowed)
        return self.get_paginated_response(LotSerializer(rows, many=True, context=_context(property)).data)


class LotDetail(APIView):
    @extend_schema(responses=LotSerializer)
    def get(self, request, slug, lot_id):
        """One lot."""
        return Response(_answered(lot_for(request.user, slug, lot_id)))

    @extend_schema(request=LotChangeSerializer, responses=LotSerializer)
    def patch(self, request, slug, lot_id):
        """Correct its tag or note; what it said before is kept."""
        lot = lot_for(request.user, slug, lot_id, EDIT)
        given = LotChangeSerializer(data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        correct_lot(lot=lot, user=request.user, **given.validated_data)
        return Response(_answered(lot))


@takes_files(MOST_BYTES)
class LotPhoto(APIView):
    parser_classes = [MultiPartParser]

    @extend_schema(responses={(200, "image/*"): OpenApiTypes.BINARY})
    def get(self, request, slug, lot_id):
        """The photo of its tag; 404 while there is none."""
        return photo_answer(lot_for(request.user, slug, lot_id))

    @extend_schema(request={"multipart/form-data": TagPhotoSerializer}, responses=LotSerializer)
    def post(self, request, slug, lot_id):
        """Keep a photo of its tag; the one before stays in the record."""
        lot = lot_for(request.user, slug, lot_id, RECORD)
        given = TagPhotoSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        set_tag_photo(lot, given.validated_data["file"], request.user)
        return Response(_answered(lot))


class Entries(generics.GenericAPIView):
    @extend_schema(responses=StockEntrySerializer(many=True))
    def get(self, request, slug, lot_id):
        """The lot's ledger, the first entry first; what was taken back is marked and counts no more."""
        lot = lot_for(request.user, slug, lot_id)
        page = self.paginate_queryset(ledger_of(lot))
        return self.get_paginated_response(
            StockEntrySerializer(page, many=True, context=_context(lot.property)).data
        )

    @extend_schema(request=NewStockEntrySerializer, responses={201: StockEntrySerializer(many=True)})
    def post(self, request, slug, lot_id):
        """Write off, count or move; answered with every entry that it made."""
        lot = lot_for(request.user, slug, lot_id, RECORD)
        given = NewStockEntrySerializer(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        how = {"lot": lot, "user": request.user, "lb": said["lb"], "on": said["on"], "reason": said["reason"]}
        if said["kind"] == "lost":
            made = stock.lose(place=said.get("place") or None, **how)
        elif said["kind"] == "counted":
            made = [stock.count(place=said.get("place"), **how)]
        else:
            made = stock.move(from_place=said.get("place") or "", to_place=said["to_place"], **how)
        ids = {entry.pk for entry in made}
        rows = [entry for entry in ledger_of(lot) if entry.pk in ids]
        answer = StockEntrySerializer(rows, many=True, context=_context(lot.property)).data
        return Response(answer, status=status.HTTP_201_CREATED)


class TakeBack(APIView):
    @extend_schema(request=StockTakeBackSerializer, responses=StockEntrySerializer)
    def post(self, request, slug, lot_id, entry_id):
        """Take back an entry that was made by mistake, a move with both halves."""
        lot = lot_for(request.user, slug, lot_id, RECORD)
        entry = get_object_or_404(entry_of(lot, entry_id))
        check_may_take_back(request.user, lot.property, entry)
        given = StockTakeBackSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        take_back_entry(entry=entry, user=request.user, reason=given.validated_data["reason"])
        [row] = [each for each in ledger_of(lot) if each.pk == entry.pk]
        return Response(StockEntrySerializer(row, context=_context(lot.property)).data)


class StockCounts(APIView):
    @extend_schema(request=StockCountsSerializer, responses=StockCountedSerializer(many=True))
    def post(self, request, slug):
        """Store what was counted at a place; answered with what differs from the book."""
        property = property_for(request.user, slug, RECORD)
        given = StockCountsSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        lots = Lot.objects.filter(property=property).in_bulk([row["lot_id"] for row in said["counts"]])
        counts = []
        for position, row in enumerate(said["counts"]):
            if row["lot_id"] not in lots:
                refuse(f"counts.{position}.lot_id", f"Lot {row['lot_id']} is not one that this property has.")
            counts.append((lots[row["lot_id"]], said["place"], row["lb"]))
        try:
            stored = count_several(counts=counts, on=said["on"], user=request.user)
        except SwardbookError as error:
            if hasattr(error, "position"):
                error.fields = {f"counts.{error.position}.lb": [error.sentence]}
            raise
        return Response(StockCountedSerializer(stored, many=True).data)


class LotTests(generics.GenericAPIView):
    @extend_schema(responses=LotTestSerializer(many=True))
    def get(self, request, slug, lot_id):
        """Tests made since the tag, the latest first; struck ones are marked."""
        page = self.paginate_queryset(lot_for(request.user, slug, lot_id).tests.all())
        return self.get_paginated_response(LotTestSerializer(page, many=True).data)

    @extend_schema(request=LotTestSerializer, responses={201: LotTestSerializer})
    def post(self, request, slug, lot_id):
        """Enter a test; the latest goes before the tag."""
        lot = lot_for(request.user, slug, lot_id, RECORD)
        given = LotTestSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        test = add_test(lot=lot, user=request.user, **given.validated_data)
        test.refresh_from_db()
        return Response(LotTestSerializer(test).data, status=status.HTTP_201_CREATED)


class LotTestDetail(APIView):
    @extend_schema(request=LotTestStruckSerializer, responses=LotTestSerializer)
    def patch(self, request, slug, lot_id, lot_test_id):
        """Strike it out, or let it count again."""
        lot = lot_for(request.user, slug, lot_id, RECORD)
        test = get_object_or_404(lot.tests, pk=lot_test_id)
        check_may_correct(request.user, lot.property, test)
        given = LotTestStruckSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        test = strike_test(test=test, user=request.user, **given.validated_data)
        return Response(LotTestSerializer(test).data)


class Inoculants(generics.GenericAPIView):
    @extend_schema(responses=InoculantSerializer(many=True))
    def get(self, request, slug):
        """Inoculant, what expires first first; what is used up says since when."""
        property = property_for(request.user, slug)
        today = timezone.localdate()
        page = [mark(row, today) for row in self.paginate_queryset(inoculants_of(property))]
        return self.get_paginated_response(
            InoculantSerializer(page, many=True, context=_context(property)).data
        )

    @extend_schema(request=InoculantSerializer, responses={201: InoculantSerializer})
    @transaction.atomic
    def post(self, request, slug):
        """Enter inoculant that came."""
        property = property_for(request.user, slug, RECORD)
        said = _inoculant_said(request, property)
        used_up_on = said.pop("used_up_on", None)
        row = add_inoculant(property=property, user=request.user, **said)
        if used_up_on is not None:
            row = use_up(inoculant=row, user=request.user, on=used_up_on)
        return Response(_inoculant_answer(row, property), status=status.HTTP_201_CREATED)


class InoculantDetail(APIView):
    @extend_schema(responses=InoculantSerializer)
    def get(self, request, slug, inoculant_id):
        """One of them."""
        row = inoculant_for(request.user, slug, inoculant_id)
        return Response(_inoculant_answer(row, row.property))

    @extend_schema(request=InoculantSerializer, responses=InoculantSerializer)
    @transaction.atomic
    def patch(self, request, slug, inoculant_id):
        """Correct it, or say since when nothing is left (`used_up_on`); what it said before is kept."""
        row = inoculant_for(request.user, slug, inoculant_id, RECORD)
        property = row.property
        said = _inoculant_said(request, property, partial=True)
        if set(said) - {"used_up_on"}:
            check_may_correct(request.user, property, row)
        if "used_up_on" in said:
            row = use_up(inoculant=row, user=request.user, on=said.pop("used_up_on"))
        if said:
            row = correct_inoculant(inoculant=row, user=request.user, **said)
        return Response(_inoculant_answer(row, property))


def _inoculant_said(request, property, partial=False):
    given = InoculantSerializer(data=request.data, partial=partial, context=_context(property))
    given.is_valid(raise_exception=True)
    said = dict(given.validated_data)
    if "cost_usd" in said and COSTS not in property.allowed:
        property_for(request.user, property.slug, COSTS)
    return said


def _inoculant_answer(row, property):
    row.refresh_from_db()
    return InoculantSerializer(mark(row, timezone.localdate()), context=_context(property)).data
