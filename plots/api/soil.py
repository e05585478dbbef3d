"""Soil tests: what laboratories found, by plot and for the whole property."""

from django.db import transaction
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from plots.access import RECORD, VIEW, check_may_correct, plot_for, property_for, soil_test_for
from plots.asked import plot_ids_asked
from plots.calc.soil_units import lb_per_acre_to_ppm, ppm_to_lb_per_acre
from plots.ground import soil_tests_for, soil_tests_of
from plots.models import SoilTest
from plots.services.soil import correct_soil_test, record_soil_test, strike_soil_test, unstrike_soil_test

_NUTRIENTS = ("p", "k")


def _figure(words, **kwargs):
    """A decimal of any size: the service says what is accepted, in the words of the trade."""
    return serializers.DecimalField(max_digits=None, decimal_places=None, help_text=words, **kwargs)


def _measured(words):
    return _figure(f"{words} Null is not measured.", required=False, allow_null=True)


class SoilTestSerializer(serializers.ModelSerializer):
    """P and K are given in ppm or in lb/ac, and answered in both; lb/ac is 2 × ppm."""

    plot_id = serializers.IntegerField(read_only=True)
    plot = serializers.CharField(source="plot.name", read_only=True, help_text="Its name.")
    depth_top_in = _figure("From the surface.", required=False)
    depth_bottom_in = _figure("From the surface.")
    ph = _measured("In water.")
    organic_matter_pct = _measured("Of the soil's weight.")
    p_ppm = _measured("Phosphorus, mg/kg.")
    p_lb_per_acre = _measured("Phosphorus, for soil 6⅔ in deep.")
    k_ppm = _measured("Potassium, mg/kg.")
    k_lb_per_acre = _measured("Potassium, for soil 6⅔ in deep.")
    cec_meq_per_100g = _measured("Cation exchange capacity; meq/100 g is cmol(c)/kg.")

    class Meta:
        model = SoilTest
        fields = [
            "id",
            "plot_id",
            "plot",
            "sampled_on",
            "lab",
            "depth_top_in",
            "depth_bottom_in",
            "ph",
            "organic_matter_pct",
            "p_ppm",
            "p_lb_per_acre",
            "p_method",
            "k_ppm",
            "k_lb_per_acre",
            "reported_in",
            "cec_meq_per_100g",
            "notes",
            "is_struck",
            "created_at",
        ]

    def to_representation(self, test):
        for name in _NUTRIENTS:
            ppm = getattr(test, f"{name}_ppm")
            setattr(test, f"{name}_lb_per_acre", None if ppm is None else ppm_to_lb_per_acre(ppm))
        return super().to_representation(test)

    def validate(self, values):
        """One figure for each nutrient, in ppm, however it was given."""
        given = [name for name in _NUTRIENTS if f"{name}_lb_per_acre" in values]
        if given and not any(f"{name}_ppm" in values for name in _NUTRIENTS):
            values.setdefault("reported_in", SoilTest.ReportedIn.LB_PER_ACRE)
        for name in given:
            amount = values.pop(f"{name}_lb_per_acre")
            ppm = None if amount is None else lb_per_acre_to_ppm(amount)
            if values.setdefault(f"{name}_ppm", ppm) != ppm:
                raise serializers.ValidationError(
                    {
                        f"{name}_lb_per_acre": f"{name.upper()} is {values[f'{name}_ppm']} ppm and {amount} lb/ac; "
                        "one of the two, or lb/ac of twice the ppm, is accepted."
                    }
                )
        return values


class SoilTestList(generics.GenericAPIView):
    @extend_schema(
        parameters=[OpenApiParameter("plot", int, many=True, description="Only these plots, by id.")],
        responses=SoilTestSerializer(many=True),
    )
    def get(self, request, slug):
        """The property's soil tests, the latest first; struck ones are marked."""
        property = property_for(request.user, slug)
        page = self.paginate_queryset(soil_tests_for(property, plot_ids_asked(request.query_params)))
        return self.get_paginated_response(SoilTestSerializer(page, many=True).data)


class PlotSoilTests(generics.GenericAPIView):
    @extend_schema(operation_id="plot_soil_tests_list", responses=SoilTestSerializer(many=True))
    def get(self, request, slug, plot_id):
        """The plot's soil tests, the latest first."""
        plot = plot_for(request.user, slug, plot_id)
        page = self.paginate_queryset(soil_tests_of(plot))
        return self.get_paginated_response(SoilTestSerializer(page, many=True).data)

    @extend_schema(request=SoilTestSerializer, responses={201: SoilTestSerializer})
    def post(self, request, slug, plot_id):
        """Record a soil test."""
        plot = plot_for(request.user, slug, plot_id, RECORD)
        given = SoilTestSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        with transaction.atomic():
            is_struck = values.pop("is_struck", False)
            test = record_soil_test(plot=plot, user=request.user, **values)
            if is_struck:
                test = strike_soil_test(test=test, user=request.user)
        return Response(_as_stored(test), status=status.HTTP_201_CREATED)


class SoilTestDetail(APIView):
    @extend_schema(responses=SoilTestSerializer)
    def get(self, request, slug, test_id):
        """One soil test."""
        return Response(SoilTestSerializer(soil_test_for(request.user, slug, test_id, VIEW)).data)

    @extend_schema(request=SoilTestSerializer, responses=SoilTestSerializer)
    @transaction.atomic
    def patch(self, request, slug, test_id):
        """Correct it, strike it out or take it up again; what it said before is kept."""
        test = soil_test_for(request.user, slug, test_id, RECORD)
        check_may_correct(request.user, test.plot.property, test)
        given = SoilTestSerializer(test, data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        is_struck = values.pop("is_struck", test.is_struck)
        test = correct_soil_test(test=test, user=request.user, **values)
        if is_struck != test.is_struck:
            test = (strike_soil_test if is_struck else unstrike_soil_test)(test=test, user=request.user)
        return Response(_as_stored(test))


def _as_stored(test):
    """The answer with the decimals that the columns keep, so that what is read later is the same."""
    test.refresh_from_db()
    return SoilTestSerializer(test).data
