"""Price lists; for roles that edit."""

from django.db import transaction
from drf_spectacular.utils import extend_schema
from rest_framework import generics, status
from rest_framework.parsers import FormParser, MultiPartParser
from rest_framework.response import Response
from rest_framework.views import APIView

from blends.access import price_list_for
from blends.api.offer_serializers import (
    PriceListChangeSerializer,
    PriceListSerializer,
    PriceListSummarySerializer,
    PriceListTextSerializer,
)
from blends.api.things import things_named
from blends.calc.price_tables import MOST_BYTES, headings_of
from blends.models import PriceList
from blends.queries.price_lists import names_asked, preview, price_lists_of
from blends.services.listed_offers import correct_rows, store_list, take_back_list
from blends.services.price_lists import answer_names, match_columns, receive_list, set_list_aside
from config.errors import refuse
from plots.access import EDIT, property_for
from plots.uploads import SafeJSONParser


class PriceLists(generics.GenericAPIView):
    parser_classes = [SafeJSONParser, MultiPartParser, FormParser]
    most_file_bytes = MOST_BYTES

    @extend_schema(responses=PriceListSummarySerializer(many=True))
    def get(self, request, slug):
        """Price lists, the latest first."""
        rows = price_lists_of(property_for(request.user, slug, EDIT))
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(PriceListSummarySerializer(page, many=True).data)

    @extend_schema(
        request={
            "application/json": PriceListTextSerializer,
            "multipart/form-data": PriceListTextSerializer,
        },
        responses={201: PriceListSerializer},
    )
    def post(self, request, slug):
        """Send a price list as text or as a file (.xlsx, CSV). Nothing is offered before it is accepted."""
        property = property_for(request.user, slug, EDIT)
        given = PriceListTextSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        upload = values.get("file")
        if upload is None and "text" not in values:
            refuse("text", "There is no list: send it as text or as a file.")
        row = receive_list(
            property=property,
            user=request.user,
            supplier=things_named(property, values)["supplier"],
            text=values.get("text", ""),
            content=None if upload is None else upload.read(MOST_BYTES + 1),
            file_name=values.get("file_name", "" if upload is None else upload.name),
        )
        return Response(_body(row), status=status.HTTP_201_CREATED)


class PriceListDetail(APIView):
    @extend_schema(responses=PriceListSerializer)
    def get(self, request, slug, list_id):
        """A price list, and what storing it would do, row by row."""
        return Response(_body(price_list_for(request.user, slug, list_id)))

    @extend_schema(request=PriceListChangeSerializer, responses=PriceListSerializer)
    def patch(self, request, slug, list_id):
        """Match columns and names, set it aside; of a stored list, correct rows that were left out and try them again.

        Another heading row starts the matching anew from its headings.
        """
        row = price_list_for(request.user, slug, list_id, EDIT)
        given = PriceListChangeSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        with transaction.atomic():
            _change(row, given.validated_data)
        return Response(_body(price_list_for(request.user, slug, list_id, EDIT)))


class PriceListAccept(APIView):
    @extend_schema(request=None, responses=PriceListSerializer)
    def post(self, request, slug, list_id):
        """Make offers of the rows that can become one; the others are left out with their reasons."""
        store_list(price_list=price_list_for(request.user, slug, list_id, EDIT))
        return Response(_body(price_list_for(request.user, slug, list_id, EDIT)))


class PriceListTakeBack(APIView):
    @extend_schema(request=None, responses=PriceListSerializer)
    def post(self, request, slug, list_id):
        """Withdraw a stored list's offers and offer again what they replaced, while none is chosen anew or ordered."""
        take_back_list(price_list=price_list_for(request.user, slug, list_id, EDIT))
        return Response(_body(price_list_for(request.user, slug, list_id, EDIT)))


def _change(row, values):
    if "is_set_aside" in values:
        set_list_aside(price_list=row, is_aside=values["is_set_aside"])
    if "columns" in values or "heading_row" in values:
        columns = values.get("columns", row.columns)
        match_columns(price_list=row, columns=columns, heading_row=values.get("heading_row"))
    if values.get("names"):
        answer_names(
            property=row.property,
            answers={each["name"]: _thing(row.property, each) for each in values["names"]},
        )
    is_stored = row.state == PriceList.State.STORED
    if "rows" in values:
        correct_rows(price_list=row, cells={each["row"]: _cells(each) for each in values["rows"]})
    elif is_stored and values.get("names"):
        correct_rows(price_list=row)


def _thing(property, named):
    things = things_named(property, named)
    if things.get("species") and things.get("blend"):
        refuse("names", f"“{named['name']}” is one thing: a species, or a bought mix.")
    return things.get("species") or things.get("blend")


def _cells(row):
    for column in row["cells"]:
        if not (column.isascii() and column.isdecimal() and len(column) < 4):
            refuse("rows", f"“{column}” is no column; accepted is a whole number from 0.")
    return {int(column): text for column, text in row["cells"].items()}


def _body(row):
    is_stored = row.state == PriceList.State.STORED
    found = preview(row, []) if is_stored else preview(row)
    row.headings = headings_of(row.table, row.heading_row)
    row.wrong, row.rows, row.counts = found.wrong, found.rows, found.counts
    row.names = names_asked(row)
    return PriceListSerializer(row).data
