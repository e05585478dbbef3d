"""Ways to buy an order, and what it sows instead, for roles that include costs."""

from drf_spectacular.utils import extend_schema
from rest_framework import generics, serializers, status
from rest_framework.response import Response

from blends.access import order_for, plan_for, species_rows
from blends.models import BuyingPlan, Substitution
from blends.queries.substitutions import substitutions_of
from blends.queries.ways import way_of, ways_of
from blends.services.buying import (
    MOST_SECONDS,
    MOST_SUPPLIERS,
    SECONDS,
    ask_for_plan,
    back_to_own_choices,
    cancel_search,
    take_plan,
)
from blends.services.substitutions import substitute, take_back_substitution
from config.errors import refuse
from plots.access import EDIT
from plots.api.serializers import IdField


class SwapSerializer(serializers.Serializer):
    species_id = IdField()
    instead_id = IdField(help_text="May be bought and sown instead of it.")


class AskSerializer(serializers.Serializer):
    """What is asked of a search."""

    most_suppliers = serializers.IntegerField(
        min_value=1, max_value=MOST_SUPPLIERS, allow_null=True, required=False, help_text="Null is no limit."
    )
    swaps = SwapSerializer(many=True, required=False)
    seconds = serializers.IntegerField(min_value=1, max_value=MOST_SECONDS, required=False)


class WaySummarySerializer(serializers.ModelSerializer):
    """A search: `state` is that of its job, `result` proven, stopped or impossible once it has ended."""

    job_id = serializers.UUIDField(allow_null=True)
    state = serializers.CharField(source="job.state", default="")
    result = serializers.CharField(source="found.state", default="")
    total_usd = serializers.CharField(source="found.total_usd", default=None, allow_null=True)

    class Meta:
        model = BuyingPlan
        fields = ["id", "job_id", "state", "result", "total_usd", "taken_at", "created_at"]
        read_only_fields = fields


class WayLineSerializer(serializers.Serializer):
    offer_id = serializers.IntegerField(source="offer.pk")
    item = serializers.CharField()
    packs = serializers.IntegerField()
    pack_lb = serializers.DecimalField(9, 3, source="offer.pack_lb")
    price_usd = serializers.DecimalField(10, 2, help_text="A pack, at this number.")
    goods_usd = serializers.DecimalField(14, 2)


class WaySupplierSerializer(serializers.Serializer):
    """`freight_usd` null is not known, and in no sum."""

    supplier_id = serializers.IntegerField()
    supplier = serializers.CharField(source="name")
    goods_usd = serializers.DecimalField(14, 2)
    freight_usd = serializers.DecimalField(14, 2, allow_null=True)
    total_usd = serializers.DecimalField(14, 2)
    lines = WayLineSerializer(many=True)


class UncoveredSerializer(serializers.Serializer):
    item = serializers.CharField(source="name")
    wanted_lb = serializers.FloatField()
    offered_lb = serializers.FloatField()


class NeedSerializer(serializers.Serializer):
    """Pounds of live seed; of a bought mix, bulk pounds."""

    species_id = serializers.IntegerField(allow_null=True)
    blend_id = serializers.IntegerField(allow_null=True)
    item = serializers.CharField(source="name")
    wanted_lb = serializers.FloatField()
    on_hand_lb = serializers.FloatField()
    bought_lb = serializers.FloatField()
    over_lb = serializers.FloatField()


class AloneSerializer(serializers.Serializer):
    """Everything from one supplier; `lacks` names what it has not."""

    supplier_id = serializers.IntegerField()
    supplier = serializers.CharField(source="name")
    total_usd = serializers.DecimalField(14, 2, allow_null=True)
    lacks = serializers.ListField(child=serializers.CharField())


class RuleSerializer(serializers.Serializer):
    """How much less it would cost without the rule."""

    rule = serializers.CharField(source="words")
    costs_usd = serializers.DecimalField(14, 2, allow_null=True)


class MadeSwapSerializer(SwapSerializer):
    factor = serializers.FloatField(help_text="Pounds for each pound.")


class WaySerializer(serializers.Serializer):
    """A way to buy. With `result` proven nothing costs less; stopped, at most `gap_usd` less."""

    id = serializers.IntegerField(source="plan.pk")
    job_id = serializers.UUIDField(source="plan.job_id", allow_null=True)
    state = serializers.CharField(source="job_state")
    result = serializers.CharField(source="state")
    why = serializers.CharField(source="found.why", default="")
    is_out_of_date = serializers.BooleanField()
    is_taken = serializers.BooleanField(source="is_standing")
    total_usd = serializers.DecimalField(14, 2, allow_null=True)
    gap_usd = serializers.DecimalField(14, 2, allow_null=True)
    suppliers = WaySupplierSerializer(many=True)
    needs = NeedSerializer(source="found.needs", many=True, default=[])
    swaps = MadeSwapSerializer(source="found.swaps", many=True, default=[])
    uncovered = UncoveredSerializer(source="found.uncovered", many=True, default=[])
    one_supplier = AloneSerializer(source="alone", many=True)
    rules = RuleSerializer(many=True)


class SubstitutionSerializer(serializers.Serializer):
    """In this order one species is bought and sown instead of another, at equal live seeds."""

    species_id = IdField()
    species = serializers.CharField(read_only=True)
    instead_id = IdField()
    instead = serializers.CharField(read_only=True)
    reason = serializers.CharField(max_length=300)
    factor = serializers.FloatField(
        read_only=True,
        allow_null=True,
        help_text="Pounds for each pound; null where it is not known and left out.",
    )


class Ways(generics.GenericAPIView):
    queryset = BuyingPlan.objects.none()

    @extend_schema(responses=WaySummarySerializer(many=True))
    def get(self, request, slug, season):
        """The searches for ways to buy the order, the latest first."""
        page = self.paginate_queryset(ways_of(order_for(request.user, slug, season)))
        return self.get_paginated_response(WaySummarySerializer(page, many=True).data)

    @extend_schema(request=AskSerializer, responses={202: WaySummarySerializer})
    def post(self, request, slug, season):
        """Have the cheapest way to buy looked for in the background."""
        order = order_for(request.user, slug, season, EDIT)
        given = AskSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        plan = ask_for_plan(
            order=order,
            user=request.user,
            most_suppliers=values.get("most_suppliers"),
            swaps=[(swap["species_id"], swap["instead_id"]) for swap in values.get("swaps", [])],
            seconds=values.get("seconds", SECONDS),
        )
        return Response(WaySummarySerializer(plan).data, status=status.HTTP_202_ACCEPTED)


class OwnChoices(generics.GenericAPIView):
    @extend_schema(request=None, responses={204: None})
    def post(self, request, slug, season):
        """Give up the way that was taken; what was chosen before it is chosen again."""
        back_to_own_choices(order=order_for(request.user, slug, season, EDIT))
        return Response(status=status.HTTP_204_NO_CONTENT)


class Way(generics.GenericAPIView):
    @extend_schema(responses=WaySerializer)
    def get(self, request, slug, season, plan_id):
        """A way to buy: what from whom, its proof, each supplier alone and what each rule costs."""
        return Response(WaySerializer(way_of(plan_for(request.user, slug, season, plan_id))).data)


class TakeWay(generics.GenericAPIView):
    @extend_schema(request=None, responses=WaySerializer)
    def post(self, request, slug, season, plan_id):
        """Buy the order this way; 409 where the order or the offers have changed since."""
        take_plan(plan=plan_for(request.user, slug, season, plan_id, EDIT), user=request.user)
        return Response(WaySerializer(way_of(plan_for(request.user, slug, season, plan_id, EDIT))).data)


class CancelWay(generics.GenericAPIView):
    @extend_schema(request=None, responses={202: WaySummarySerializer})
    def post(self, request, slug, season, plan_id):
        """End the search; what it has found by then stays."""
        plan = cancel_search(plan_for(request.user, slug, season, plan_id, EDIT))
        return Response(WaySummarySerializer(plan).data, status=status.HTTP_202_ACCEPTED)


class Substitutions(generics.GenericAPIView):
    queryset = Substitution.objects.none()

    @extend_schema(responses=SubstitutionSerializer(many=True))
    def get(self, request, slug, season):
        """What the order sows instead of what its blends name."""
        page = self.paginate_queryset(substitutions_of(order_for(request.user, slug, season)))
        return self.get_paginated_response(SubstitutionSerializer(page, many=True).data)

    @extend_schema(request=SubstitutionSerializer, responses={201: SubstitutionSerializer})
    def post(self, request, slug, season):
        """Buy and sow one species instead of another of its functional group."""
        order = order_for(request.user, slug, season, EDIT)
        given = SubstitutionSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        rows = species_rows(order.season.property).in_bulk([values["species_id"], values["instead_id"]])
        for name in ("species_id", "instead_id"):
            if values[name] not in rows:
                refuse(name, f"Species {values[name]} is not in this property's list.")
        substitute(
            order=order,
            user=request.user,
            species=rows[values["species_id"]],
            instead=rows[values["instead_id"]],
            reason=values["reason"],
        )
        [row] = [row for row in substitutions_of(order) if row.species_id == values["species_id"]]
        return Response(SubstitutionSerializer(row).data, status=status.HTTP_201_CREATED)


class SubstitutionDetail(generics.GenericAPIView):
    @extend_schema(responses={204: None})
    def delete(self, request, slug, season, species_id):
        """Sow the species itself again."""
        order = order_for(request.user, slug, season, EDIT)
        species = species_rows(order.season.property).filter(pk=species_id).first()
        if species is not None:
            take_back_substitution(order=order, species=species)
        return Response(status=status.HTTP_204_NO_CONTENT)
