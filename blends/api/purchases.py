"""Purchase orders, for roles that include costs."""

from django.db import transaction
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import order_for, purchase_for, season_for
from blends.api.purchase_serializers import (
    PurchaseChangesSerializer,
    PurchaseClosedSerializer,
    PurchaseDetailSerializer,
    PurchaseDraftSerializer,
    PurchaseSentSerializer,
    PurchaseSerializer,
)
from blends.api.things import things_named
from blends.models import PurchaseOrder
from blends.queries.purchases import figures_of, purchases_of
from blends.services.purchase_drafts import draft_purchases, start_purchase
from blends.services.purchases import (
    DETAILS,
    add_line,
    change_details,
    change_line,
    close_purchase,
    reopen_purchase,
    send_purchase,
    take_back_sending,
)
from config.errors import Refused, refuse
from plots.access import COSTS, EDIT, property_for


class Purchases(generics.GenericAPIView):
    @extend_schema(
        responses=PurchaseSerializer(many=True),
        parameters=[
            OpenApiParameter("season", str, description="A season such as 2027-warm."),
            OpenApiParameter("state", str, enum=PurchaseOrder.State.values),
        ],
    )
    def get(self, request, slug):
        """The property's purchase orders, the latest first."""
        property = property_for(request.user, slug, COSTS)
        season, state = request.query_params.get("season"), request.query_params.get("state", "")
        if state and state not in PurchaseOrder.State.values:
            accepted = ", ".join(PurchaseOrder.State.values)
            raise Refused(
                f"State is “{state}”; accepted are {accepted}.",
                fields={"state": [f"{accepted} are accepted."]},
            )
        season = season_for(request.user, slug, season, COSTS) if season else None
        page = self.paginate_queryset(purchases_of(property, season=season, state=state))
        figures = [figures_of(purchase) for purchase in page]
        return self.get_paginated_response(PurchaseSerializer(figures, many=True).data)

    @extend_schema(request=PurchaseDraftSerializer, responses={201: PurchaseSerializer(many=True)})
    def post(self, request, slug):
        """Draft a purchase order for each supplier that a season's order buys from; drafts are made anew."""
        given = PurchaseDraftSerializer(data=request.data)
        property_for(request.user, slug, EDIT)
        given.is_valid(raise_exception=True)
        order = order_for(request.user, slug, given.validated_data["season"], EDIT)
        supplier = things_named(order.season.property, given.validated_data).get("supplier")
        if supplier is None:
            made = draft_purchases(order=order, user=request.user)
        else:
            made = [start_purchase(order=order, supplier=supplier, user=request.user)]
        figures = [figures_of(purchase) for purchase in made]
        return Response(PurchaseSerializer(figures, many=True).data, status=status.HTTP_201_CREATED)


def _answer(purchase):
    return Response(PurchaseDetailSerializer(figures_of(purchase)).data)


class PurchaseDetail(generics.GenericAPIView):
    @extend_schema(responses=PurchaseDetailSerializer)
    def get(self, request, slug, number):
        """One purchase order with its lines and what became of it."""
        return _answer(purchase_for(request.user, slug, number))

    @extend_schema(request=PurchaseChangesSerializer, responses=PurchaseDetailSerializer)
    def patch(self, request, slug, number):
        """Change packs, prices, lines, note, terms, day or freight: all of it or nothing."""
        purchase = purchase_for(request.user, slug, number, EDIT)
        given = PurchaseChangesSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        with transaction.atomic():
            for row in values.get("lines", []):
                line = purchase.lines.filter(pk=row["id"]).first()
                if line is None:
                    refuse("lines", f"Line {row['id']} is not one of {purchase}.")
                change_line(line=line, user=request.user, packs=row["packs"], price_usd=row.get("price_usd"))
            for row in values.get("add", []):
                add_line(
                    purchase=purchase,
                    offer=things_named(purchase.property, row)["offer"],
                    packs=row["packs"],
                    price_usd=row.get("price_usd"),
                    user=request.user,
                )
            details = {name: values[name] for name in DETAILS if name in values}
            if details:
                change_details(purchase=purchase, user=request.user, **details)
        return _answer(purchase)


class SendPurchase(generics.GenericAPIView):
    @extend_schema(request=PurchaseSentSerializer, responses=PurchaseDetailSerializer)
    def post(self, request, slug, number):
        """Say that it was sent; from then on every change is recorded."""
        purchase = purchase_for(request.user, slug, number, EDIT)
        given = PurchaseSentSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        send_purchase(purchase=purchase, user=request.user, on=given.validated_data.get("sent_on"))
        return _answer(purchase)


class UnsendPurchase(generics.GenericAPIView):
    @extend_schema(request=None, responses=PurchaseDetailSerializer)
    def post(self, request, slug, number):
        """Make it a draft again: it was not sent."""
        purchase = purchase_for(request.user, slug, number, EDIT)
        take_back_sending(purchase=purchase, user=request.user)
        return _answer(purchase)


class ClosePurchase(generics.GenericAPIView):
    @extend_schema(request=PurchaseClosedSerializer, responses=PurchaseDetailSerializer)
    def post(self, request, slug, number):
        """Have done with it; a reason is needed while something has not come."""
        purchase = purchase_for(request.user, slug, number, EDIT)
        given = PurchaseClosedSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        close_purchase(purchase=purchase, user=request.user, **given.validated_data)
        return _answer(purchase)


class ReopenPurchase(generics.GenericAPIView):
    @extend_schema(request=None, responses=PurchaseDetailSerializer)
    def post(self, request, slug, number):
        """Take up again what was closed."""
        purchase = purchase_for(request.user, slug, number, EDIT)
        reopen_purchase(purchase=purchase, user=request.user)
        return _answer(purchase)
