"""The seed order; for roles that include costs."""

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.response import Response

from blends.access import order_for, species_rows
from blends.api.order_serializers import (
    ChoiceSerializer,
    OrderPlotSerializer,
    OrderSerializer,
    TermsSerializer,
)
from blends.api.things import things_named
from blends.exports import order_json
from blends.models import Blend, OrderChoice
from blends.queries import order_plots
from blends.services.orders import choose, set_terms
from plots.access import EDIT


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
        things = things_named(order.season.property, given.validated_data)
        item = {name: things.get(name) for name in ("species", "blend")}
        before = OrderChoice.objects.filter(order=order, **item).first() or OrderChoice()
        choice = choose(
            order=order,
            offer=things.get("offer", before.offer),
            on_hand_lb=given.validated_data.get("on_hand_lb", before.on_hand_lb),
            **item,
        )
        return Response(ChoiceSerializer(choice).data)
