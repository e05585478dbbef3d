"""Suppliers, offers and the seed order; for roles that include costs."""

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import offer_for, order_for, species_rows
from blends.api.order_serializers import (
    ChoiceSerializer,
    OfferSerializer,
    OrderPlotSerializer,
    OrderSerializer,
    SupplierSerializer,
    TermsSerializer,
)
from blends.exports import order_json
from blends.models import Blend, Offer, OrderChoice, Supplier
from blends.queries import order_plots
from blends.services.offers import add_supplier, save_offer, withdraw_offer
from blends.services.orders import choose, set_terms
from config.errors import Refused
from plots.access import COSTS, EDIT, property_for


class Suppliers(generics.GenericAPIView):
    @extend_schema(responses=SupplierSerializer(many=True))
    def get(self, request, slug):
        """The property's suppliers."""
        rows = Supplier.objects.filter(property=property_for(request.user, slug, COSTS))
        return self.get_paginated_response(SupplierSerializer(self.paginate_queryset(rows), many=True).data)

    @extend_schema(request=SupplierSerializer, responses={201: SupplierSerializer})
    def post(self, request, slug):
        """Add a supplier."""
        property = property_for(request.user, slug, EDIT)
        given = SupplierSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        supplier = add_supplier(property=property, **given.validated_data)
        return Response(SupplierSerializer(supplier).data, status=status.HTTP_201_CREATED)


class Offers(generics.GenericAPIView):
    @extend_schema(
        responses=OfferSerializer(many=True),
        parameters=[OpenApiParameter("withdrawn", bool, description="Those that were withdrawn.")],
    )
    def get(self, request, slug):
        """What the property's suppliers offer."""
        withdrawn = request.query_params.get("withdrawn") in ("true", "1")
        rows = Offer.objects.filter(
            property=property_for(request.user, slug, COSTS), is_withdrawn=withdrawn
        ).select_related("supplier", "species", "blend")
        return self.get_paginated_response(OfferSerializer(self.paginate_queryset(rows), many=True).data)

    @extend_schema(request=OfferSerializer, responses={201: OfferSerializer})
    def post(self, request, slug):
        """Add an offer."""
        property = property_for(request.user, slug, EDIT)
        offer = save_offer(property=property, **_offer_values(property, request))
        return Response(OfferSerializer(offer).data, status=status.HTTP_201_CREATED)


class OfferDetail(generics.GenericAPIView):
    @extend_schema(responses=OfferSerializer)
    def get(self, request, slug, offer_id):
        """One offer."""
        return Response(OfferSerializer(offer_for(request.user, slug, offer_id)).data)

    @extend_schema(request=OfferSerializer, responses=OfferSerializer)
    def put(self, request, slug, offer_id):
        """Change an offer; the orders that chose it are computed again."""
        offer = offer_for(request.user, slug, offer_id, EDIT)
        values = _offer_values(offer.property, request)
        return Response(OfferSerializer(save_offer(property=offer.property, offer=offer, **values)).data)

    @extend_schema(responses={204: None})
    def delete(self, request, slug, offer_id):
        """Withdraw an offer; orders that chose it keep it."""
        withdraw_offer(offer=offer_for(request.user, slug, offer_id, EDIT))
        return Response(status=status.HTTP_204_NO_CONTENT)


class Order(generics.GenericAPIView):
    @extend_schema(responses=OrderSerializer)
    def get(self, request, slug, season):
        """The seed order of a season, with its costs by blend and by plot."""
        return Response(order_json(order_for(request.user, slug, season)))

    @extend_schema(request=TermsSerializer, responses=TermsSerializer)
    def patch(self, request, slug, season):
        """Change the overage or the tag that is assumed."""
        order = order_for(request.user, slug, season, EDIT)
        given = TermsSerializer(data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        terms = {name: getattr(order, name) for name in TermsSerializer().fields} | given.validated_data
        return Response(TermsSerializer(set_terms(order=order, **terms)).data)


class OrderItem(generics.GenericAPIView):
    @extend_schema(responses=OrderPlotSerializer(many=True))
    def get(self, request, slug, season, kind, item_id):
        """The plots behind one item's pounds; `kind` is species or blend."""
        order = order_for(request.user, slug, season)
        property = order.season.property
        rows = species_rows(property) if kind == "species" else Blend.objects.filter(property=property)
        item = get_object_or_404(rows, pk=item_id)
        page = self.paginate_queryset(order_plots(order, item))
        return self.get_paginated_response(OrderPlotSerializer(page, many=True).data)


class Choices(generics.GenericAPIView):
    @extend_schema(responses=ChoiceSerializer(many=True))
    def get(self, request, slug, season):
        """What was chosen for the items of the order."""
        rows = OrderChoice.objects.filter(order=order_for(request.user, slug, season)).order_by("pk")
        return self.get_paginated_response(ChoiceSerializer(self.paginate_queryset(rows), many=True).data)

    @extend_schema(request=ChoiceSerializer, responses=ChoiceSerializer)
    def put(self, request, slug, season):
        """Choose the offer for one item, and say what is in the shed; what is left out stays."""
        order = order_for(request.user, slug, season, EDIT)
        given = ChoiceSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        things = _things(order.season.property, given.validated_data)
        item = {name: things.get(name) for name in ("species", "blend")}
        before = OrderChoice.objects.filter(order=order, **item).first() or OrderChoice()
        choice = choose(
            order=order,
            offer=things.get("offer", before.offer),
            on_hand_lb=given.validated_data.get("on_hand_lb", before.on_hand_lb),
            **item,
        )
        return Response(ChoiceSerializer(choice).data)


def _offer_values(property, request):
    given = OfferSerializer(data=request.data)
    given.is_valid(raise_exception=True)
    values = given.validated_data
    return {name: value for name, value in values.items() if not name.endswith("_id")} | _things(
        property, values
    )


def _things(property, values):
    """The rows that a body names by id, through the property's door; other people's are as if not there."""
    rows = {
        "supplier": Supplier.objects.filter(property=property),
        "species": species_rows(property),
        "blend": Blend.objects.filter(property=property),
        "offer": Offer.objects.filter(property=property),
    }
    found = {}
    for name, candidates in rows.items():
        row_id = values.get(f"{name}_id")
        if f"{name}_id" not in values:
            continue
        found[name] = None if row_id is None else candidates.filter(pk=row_id).first()
        if row_id is not None and found[name] is None:
            sentence = f"{name.capitalize()} {row_id} is not one that this property has."
            raise Refused(sentence, fields={f"{name}_id": [sentence]})
    return found
