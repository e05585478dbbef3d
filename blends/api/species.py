"""Species with their facts, sources and the property's own values."""

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import species_for, species_rows
from blends.api.serializers import (
    NewSpeciesSerializer,
    OverrideSerializer,
    SourceSerializer,
    SpeciesSerializer,
)
from blends.models import Source
from blends.queries import override_history, species_facts
from blends.services.species import add_species, end_override, override_value
from plots.access import EDIT, property_for


class Sources(generics.ListAPIView):
    """The documents that the reference values were taken from."""

    queryset = Source.objects.order_by("key")
    serializer_class = SourceSerializer


class SpeciesList(generics.GenericAPIView):
    @extend_schema(responses=SpeciesSerializer(many=True))
    def get(self, request, slug):
        """The species that the property sees, with their facts."""
        property = property_for(request.user, slug)
        page = self.paginate_queryset(species_rows(property))
        return self.get_paginated_response(SpeciesSerializer(species_facts(property, page), many=True).data)

    @extend_schema(request=NewSpeciesSerializer, responses={201: SpeciesSerializer})
    def post(self, request, slug):
        """Add a species of the property's own."""
        property = property_for(request.user, slug, EDIT)
        given = NewSpeciesSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        species = add_species(property=property, user=request.user, **given.validated_data)
        return Response(_facts_of(property, species), status=status.HTTP_201_CREATED)


class SpeciesDetail(generics.GenericAPIView):
    @extend_schema(responses=SpeciesSerializer)
    def get(self, request, slug, species_id):
        """One species with its facts."""
        species, property = species_for(request.user, slug, species_id)
        return Response(_facts_of(property, species))


class Overrides(generics.GenericAPIView):
    @extend_schema(responses=OverrideSerializer(many=True))
    def get(self, request, slug, species_id):
        """The property's own values for the species, ended ones too, the newest first."""
        species, property = species_for(request.user, slug, species_id)
        page = self.paginate_queryset(override_history(property, species))
        return self.get_paginated_response(OverrideSerializer(page, many=True).data)

    @extend_schema(request=OverrideSerializer, responses={201: SpeciesSerializer})
    def post(self, request, slug, species_id):
        """Put the property's own value in the place of one fact; the original is kept."""
        species, property = species_for(request.user, slug, species_id, EDIT)
        given = OverrideSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        override_value(property=property, species=species, user=request.user, **given.validated_data)
        return Response(_facts_of(property, species), status=status.HTTP_201_CREATED)


class OverrideDetail(generics.GenericAPIView):
    @extend_schema(responses={204: None})
    def delete(self, request, slug, species_id, override_id):
        """Return to the original value."""
        species, property = species_for(request.user, slug, species_id, EDIT)
        override = override_history(property, species).filter(pk=override_id).first()
        if override is None:
            raise Http404
        end_override(override=override)
        return Response(status=status.HTTP_204_NO_CONTENT)


def _facts_of(property, species):
    return SpeciesSerializer(species_facts(property, [species])[0]).data
