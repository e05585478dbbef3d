"""Suppliers and what they offer; for roles that include costs."""

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import offer_for, supplier_for
from blends.api.offer_serializers import OfferChangeSerializer, OfferSerializer, SupplierSerializer
from blends.api.things import things_named
from blends.models import Offer, Supplier
from blends.services.offers import offer_again, save_offer, withdraw_offer
from blends.services.suppliers import archive_supplier, bring_back_supplier, save_supplier
from plots.access import COSTS, EDIT, property_for


class Suppliers(generics.GenericAPIView):
    @extend_schema(
        responses=SupplierSerializer(many=True),
        parameters=[OpenApiParameter("archived", bool, description="Those that are archived.")],
    )
    def get(self, request, slug):
        """The property's suppliers, with freight and terms as far as they are known."""
        archived = request.query_params.get("archived") in ("true", "1")
        rows = Supplier.objects.filter(property=property_for(request.user, slug, COSTS), is_archived=archived)
        return self.get_paginated_response(SupplierSerializer(self.paginate_queryset(rows), many=True).data)

    @extend_schema(request=SupplierSerializer, responses={201: SupplierSerializer})
    def post(self, request, slug):
        """Add a supplier."""
        property = property_for(request.user, slug, EDIT)
        given = SupplierSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        is_archived = values.pop("is_archived", False)
        supplier = save_supplier(property=property, **values)
        if is_archived:
            supplier = archive_supplier(supplier=supplier)
        return Response(SupplierSerializer(supplier).data, status=status.HTTP_201_CREATED)


class SupplierDetail(generics.GenericAPIView):
    @extend_schema(responses=SupplierSerializer)
    def get(self, request, slug, supplier_id):
        """One supplier."""
        return Response(SupplierSerializer(supplier_for(request.user, slug, supplier_id)).data)

    @extend_schema(request=SupplierSerializer(partial=True), responses=SupplierSerializer)
    def patch(self, request, slug, supplier_id):
        """Change a supplier; archive it or bring it back by `is_archived`. What is left out stays."""
        supplier = supplier_for(request.user, slug, supplier_id, EDIT)
        given = SupplierSerializer(supplier, data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        is_archived = values.pop("is_archived", supplier.is_archived)
        if values:
            supplier = save_supplier(property=supplier.property, supplier=supplier, **values)
        if is_archived != supplier.is_archived:
            supplier = (archive_supplier if is_archived else bring_back_supplier)(supplier=supplier)
        return Response(SupplierSerializer(supplier).data)


class Offers(generics.GenericAPIView):
    @extend_schema(
        responses=OfferSerializer(many=True),
        parameters=[OpenApiParameter("withdrawn", bool, description="Those that were withdrawn.")],
    )
    def get(self, request, slug):
        """What the property's suppliers offer; expired offers have their last day behind them."""
        withdrawn = request.query_params.get("withdrawn") in ("true", "1")
        rows = (
            Offer.objects.filter(property=property_for(request.user, slug, COSTS), is_withdrawn=withdrawn)
            .select_related("supplier", "species", "blend", "replaces")
            .prefetch_related("breaks")
        )
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
        """Change an offer; the orders that chose it are computed again.

        One that was ordered or planted stays as it is: the answer is then the offer made in its place, with
        `replaces_id` and what became of the orders in `said`.
        """
        offer = offer_for(request.user, slug, offer_id, EDIT)
        values = _offer_values(offer.property, request)
        return Response(OfferSerializer(save_offer(property=offer.property, offer=offer, **values)).data)

    @extend_schema(request=OfferChangeSerializer(partial=True), responses=OfferSerializer)
    def patch(self, request, slug, offer_id):
        """Change some values of an offer, as PUT does; withdraw it or offer it again by `is_withdrawn`."""
        offer = offer_for(request.user, slug, offer_id, EDIT)
        values = _offer_values(offer.property, request, OfferChangeSerializer, partial=True)
        is_withdrawn = values.pop("is_withdrawn", None)
        if values:
            offer = save_offer(property=offer.property, offer=offer, **values)
        if is_withdrawn is not None:
            (withdraw_offer if is_withdrawn else offer_again)(offer=offer)
        return Response(OfferSerializer(offer).data)

    @extend_schema(responses={204: None})
    def delete(self, request, slug, offer_id):
        """Withdraw an offer; orders that chose it keep it."""
        withdraw_offer(offer=offer_for(request.user, slug, offer_id, EDIT))
        return Response(status=status.HTTP_204_NO_CONTENT)


def _offer_values(property, request, serializer=OfferSerializer, partial=False):
    given = serializer(data=request.data, partial=partial)
    given.is_valid(raise_exception=True)
    values = given.validated_data
    return {name: value for name, value in values.items() if not name.endswith("_id")} | things_named(
        property, values
    )
