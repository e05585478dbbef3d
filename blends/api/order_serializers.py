"""The shapes of the API's bodies for suppliers, offers and the seed order; the order's file has the same."""

from rest_framework import serializers

from plots.api.serializers import IdField


class TermsSerializer(serializers.Serializer):
    """What is added to the order, and the tag that is assumed until a chosen offer brings one."""

    overage_pct = serializers.DecimalField(5, 2)
    assumed_purity_pct = serializers.DecimalField(5, 2)
    assumed_germination_pct = serializers.DecimalField(5, 2)


class ChoiceSerializer(serializers.Serializer):
    """The offer that one item is bought from, and what is in the shed."""

    species_id = IdField(allow_null=True, required=False)
    blend_id = IdField(allow_null=True, required=False)
    offer_id = IdField(allow_null=True, required=False)
    on_hand_lb = serializers.DecimalField(10, 2, allow_null=True, required=False)


class ProblemSerializer(serializers.Serializer):
    """What stops the order, and where to mend it."""

    sentence = serializers.CharField()
    plot_id = serializers.IntegerField(required=False)
    blend_id = serializers.IntegerField(required=False)
    species_id = serializers.IntegerField(required=False)


class LineSerializer(serializers.Serializer):
    """One item; pounds are bulk pounds."""

    species_id = serializers.IntegerField(allow_null=True)
    blend_id = serializers.IntegerField(allow_null=True)
    item = serializers.CharField()
    supplier = serializers.CharField(source="offer.supplier.name", default=None, allow_null=True)
    offer_id = serializers.IntegerField(allow_null=True)
    variety = serializers.CharField(source="offer.variety", default=None, allow_null=True)
    pack_lb = serializers.DecimalField(9, 3, source="offer.pack_lb", default=None, allow_null=True)
    pack_price_usd = serializers.DecimalField(10, 2, source="offer.price_usd", default=None, allow_null=True)
    pure_live_fraction = serializers.FloatField(allow_null=True, help_text="Null for a bought mix.")
    is_pls_assumed = serializers.BooleanField()
    planted_lb = serializers.FloatField()
    needed_lb = serializers.FloatField()
    on_hand_lb = serializers.FloatField()
    to_buy_lb = serializers.FloatField()
    packs = serializers.IntegerField(allow_null=True)
    bought_lb = serializers.FloatField(allow_null=True)
    left_over_lb = serializers.FloatField(allow_null=True)
    cost_used_usd = serializers.DecimalField(14, 2, allow_null=True)
    cost_bought_usd = serializers.DecimalField(14, 2, allow_null=True)


class CostSerializer(serializers.Serializer):
    """Acres and costs; null is not known."""

    plots = serializers.IntegerField()
    acres = serializers.FloatField(allow_null=True)
    cost_used_usd = serializers.DecimalField(14, 2, source="used_usd", allow_null=True)
    cost_bought_usd = serializers.DecimalField(14, 2, source="bought_usd", allow_null=True)
    cost_used_usd_per_acre = serializers.DecimalField(14, 2, source="used_usd_per_acre", allow_null=True)
    cost_bought_usd_per_acre = serializers.DecimalField(14, 2, source="bought_usd_per_acre", allow_null=True)


class BlendCostSerializer(CostSerializer):
    blend_id = serializers.IntegerField(source="of.pk")
    blend = serializers.CharField(source="of")


class PlotCostSerializer(CostSerializer):
    plots = None
    plot_id = serializers.IntegerField(source="of.plot_id")
    plot = serializers.CharField(source="of.plot")
    blend_id = serializers.IntegerField(source="of.blend.pk")
    blend = serializers.CharField(source="of.blend")
    method = serializers.CharField(source="of.method")


class OrderSerializer(serializers.Serializer):
    """The seed order. While `is_stale`, the figures are being computed again and these are the last ones."""

    property = serializers.CharField(source="order.season.property.name")
    season = serializers.CharField(source="order.season")
    is_stale = serializers.BooleanField(source="order.is_stale")
    computed_at = serializers.DateTimeField(source="order.computed_at", allow_null=True)
    terms = TermsSerializer(source="order")
    problems = ProblemSerializer(source="order.problems", many=True)
    notes = serializers.ListField(child=serializers.CharField())
    lines = LineSerializer(many=True)
    totals = CostSerializer(source="costs.property")
    blends = BlendCostSerializer(source="costs.by_blend", many=True)
    plots = PlotCostSerializer(source="costs.by_plot", many=True)


class OrderPlotSerializer(serializers.Serializer):
    """A plot's part of one item: acres × rate ÷ pure live fraction."""

    plot_id = serializers.IntegerField(source="plot.pk")
    plot = serializers.CharField(source="plot.name")
    blend_id = serializers.IntegerField(source="blend.pk")
    blend = serializers.CharField()
    method = serializers.CharField()
    acres = serializers.FloatField()
    lb_per_acre = serializers.FloatField(help_text="PLS of a species, bulk of a bought mix.")
    planted_lb = serializers.FloatField()
    cost_used_usd = serializers.DecimalField(14, 2, allow_null=True)
    cost_bought_usd = serializers.DecimalField(14, 2, allow_null=True)
