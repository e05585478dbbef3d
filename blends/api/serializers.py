"""The shapes of the API's bodies for species, blends, seasons and plantings."""

from decimal import Decimal

from rest_framework import serializers

from blends.facts import FACT_FIELDS
from blends.models import Basis, Blend, Planting, Season, Source, Species
from plots.api.serializers import IdField


class SourceSerializer(serializers.ModelSerializer):
    class Meta:
        model = Source
        fields = ["key", "title", "publisher", "year", "address", "taken", "read_as"]


class OverrideSerializer(serializers.Serializer):
    """A property's own value: whose it is and why; `ended_at` once the original holds again."""

    id = serializers.IntegerField(read_only=True)
    field = serializers.ChoiceField(choices=list(FACT_FIELDS))
    value = serializers.CharField(max_length=400)
    reason = serializers.CharField(max_length=300, required=False, allow_blank=True)
    basis = serializers.ChoiceField(
        choices=[(basis.value, basis.label) for basis in (Basis.YOURS, Basis.MEASURED)], required=False
    )
    author = serializers.CharField(source="author.shown_name", read_only=True)
    created_at = serializers.DateTimeField(read_only=True)
    ended_at = serializers.DateTimeField(read_only=True, allow_null=True)


class FactSerializer(serializers.Serializer):
    """One value of a species: what counts here, where it comes from, and the original beside it."""

    field = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField(allow_blank=True)
    value = serializers.SerializerMethodField(help_text="As text, so that no digit is lost.")
    basis = serializers.ChoiceField(choices=Basis.choices, allow_blank=True)
    sources = serializers.SerializerMethodField(help_text="Keys of /api/v1/sources/.")
    override = OverrideSerializer(allow_null=True)
    original = serializers.SerializerMethodField()
    original_sources = serializers.SerializerMethodField()

    def get_value(self, fact) -> str | None:
        return _text(fact.value)

    def get_original(self, fact) -> str | None:
        return _text(fact.original)

    def get_sources(self, fact) -> list[str]:
        return [source.key for source in fact.sources]

    def get_original_sources(self, fact) -> list[str]:
        return [source.key for source in fact.original_sources]


def _text(value):
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return None if value is None else str(value)


class SpeciesSerializer(serializers.Serializer):
    """A species of the reference table, or the property's own, with its facts."""

    id = serializers.IntegerField(source="species.pk")
    key = serializers.CharField(source="species.key")
    common_name = serializers.CharField(source="species.common_name")
    is_own = serializers.SerializerMethodField()
    facts = serializers.SerializerMethodField()

    def get_is_own(self, one) -> bool:
        return one.species.property_id is not None

    def get_facts(self, one) -> FactSerializer(many=True):
        return FactSerializer(one.facts.values(), many=True).data


class NewSpeciesSerializer(serializers.ModelSerializer):
    """A species of the property's own; what is left out is not known."""

    class Meta:
        model = Species
        fields = ["common_name", *FACT_FIELDS]


class ComponentSerializer(serializers.Serializer):
    """A species in a blend: PLS rates where it is mixed here, the tag's figures where it is bought mixed."""

    species_id = IdField()
    species = serializers.CharField(source="species.common_name", read_only=True)
    drilled_pls_lb_per_acre = serializers.DecimalField(9, 4, allow_null=True, required=False)
    broadcast_pls_lb_per_acre = serializers.DecimalField(9, 4, allow_null=True, required=False)
    tag_pct_by_weight = serializers.DecimalField(5, 2, allow_null=True, required=False)
    tag_germination_pct = serializers.DecimalField(5, 2, allow_null=True, required=False)


class BlendSerializer(serializers.Serializer):
    """One version of a blend."""

    id = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=80)
    version = serializers.IntegerField(read_only=True)
    previous_id = serializers.IntegerField(read_only=True, allow_null=True)
    kind = serializers.ChoiceField(choices=Blend.Kind.choices)
    notes = serializers.CharField(max_length=5000, required=False, allow_blank=True)
    mark = serializers.CharField(max_length=3, required=False, allow_blank=True)
    drilled_bulk_lb_per_acre = serializers.DecimalField(9, 4, allow_null=True, required=False)
    broadcast_bulk_lb_per_acre = serializers.DecimalField(9, 4, allow_null=True, required=False)
    is_archived = serializers.BooleanField(read_only=True)
    components = ComponentSerializer(many=True)


class ArchiveSerializer(serializers.Serializer):
    is_archived = serializers.BooleanField()


class DraftComponentSerializer(serializers.Serializer):
    """As ComponentSerializer, with values as they are typed."""

    species_id = IdField()
    drilled_pls_lb_per_acre = serializers.CharField(allow_null=True, required=False, allow_blank=True)
    broadcast_pls_lb_per_acre = serializers.CharField(allow_null=True, required=False, allow_blank=True)
    tag_pct_by_weight = serializers.CharField(allow_null=True, required=False, allow_blank=True)
    tag_germination_pct = serializers.CharField(allow_null=True, required=False, allow_blank=True)


class DraftSerializer(serializers.Serializer):
    kind = serializers.ChoiceField(choices=Blend.Kind.choices)
    drilled_bulk_lb_per_acre = serializers.CharField(allow_null=True, required=False, allow_blank=True)
    broadcast_bulk_lb_per_acre = serializers.CharField(allow_null=True, required=False, allow_blank=True)
    components = DraftComponentSerializer(many=True)


class RateFiguresSerializer(serializers.Serializer):
    pls_lb_per_acre = serializers.FloatField(allow_null=True)
    seeds_per_sqft = serializers.FloatField(allow_null=True)
    full_rate_low_lb_per_acre = serializers.FloatField(allow_null=True)
    full_rate_high_lb_per_acre = serializers.FloatField(allow_null=True)
    share_of_full_rate = serializers.FloatField(
        allow_null=True, help_text="Rate ÷ the middle of the full rate's range."
    )
    share_by_weight = serializers.FloatField(allow_null=True)
    share_by_seed_count = serializers.FloatField(allow_null=True)
    cost_usd_per_acre = serializers.DecimalField(12, 2, allow_null=True)


class MethodTotalsSerializer(serializers.Serializer):
    is_used = serializers.BooleanField()
    pls_lb_per_acre = serializers.FloatField(allow_null=True)
    bulk_lb_per_acre = serializers.FloatField(allow_null=True)
    seeds_per_sqft = serializers.FloatField(allow_null=True)
    share_of_full_rate = serializers.FloatField(allow_null=True)
    cost_usd_per_acre = serializers.DecimalField(12, 2, allow_null=True)
    missing = serializers.ListField(child=serializers.CharField())


class ComponentFiguresSerializer(serializers.Serializer):
    species_id = serializers.IntegerField(source="species.pk")
    species = serializers.CharField(source="species.common_name")
    drilled = RateFiguresSerializer()
    broadcast = RateFiguresSerializer()


class BlendFiguresSerializer(serializers.Serializer):
    """What a blend holds; costs are null for people whose role does not include them."""

    rows = ComponentFiguresSerializer(many=True)
    drilled = MethodTotalsSerializer()
    broadcast = MethodTotalsSerializer()
    notes = serializers.ListField(child=serializers.CharField())


class SeasonSerializer(serializers.Serializer):
    id = serializers.IntegerField(read_only=True)
    slug = serializers.CharField(read_only=True, help_text="Like 2027-warm; names the season in addresses.")
    year = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=Season.Kind.choices)


class SowingSerializer(serializers.Serializer):
    """A blend sown by one method; pounds are PLS of a blend mixed here, bulk of one bought mixed."""

    blend_id = serializers.IntegerField(source="blend.pk")
    blend = serializers.CharField()
    method = serializers.ChoiceField(choices=Planting.Method.choices)
    plots = serializers.IntegerField()
    acres = serializers.FloatField(allow_null=True)
    lb_per_acre = serializers.FloatField(allow_null=True)
    seed_lb = serializers.FloatField(allow_null=True)


class SeasonSumsSerializer(serializers.Serializer):
    """Acres are of the plots whose acreage is known; `unmeasured` counts the others."""

    plots = serializers.IntegerField()
    with_blend = serializers.IntegerField()
    fallow = serializers.IntegerField()
    undecided = serializers.IntegerField()
    planted = serializers.IntegerField()
    unmeasured = serializers.IntegerField()
    acres = serializers.FloatField()
    acres_with_blend = serializers.FloatField()
    acres_planted = serializers.FloatField()
    by_blend = SowingSerializer(many=True)


class SeasonDetailSerializer(serializers.Serializer):
    season = SeasonSerializer()
    sums = SeasonSumsSerializer()


class PlantingSerializer(serializers.Serializer):
    """One plot in a season; without a blend and not fallow, nothing has been decided."""

    plot_id = serializers.IntegerField(source="plot.pk")
    plot = serializers.CharField(source="plot.name")
    acres = serializers.FloatField(allow_null=True)
    blend_id = serializers.IntegerField(source="planting.blend_id", default=None, allow_null=True)
    fallow = serializers.BooleanField(source="planting.is_fallow", default=False)
    method = serializers.ChoiceField(
        source="planting.method", choices=Planting.Method.choices, default=None, allow_null=True
    )
    state = serializers.ChoiceField(
        source="planting.state", choices=Planting.State.choices, default=None, allow_null=True
    )
    planted_on = serializers.DateField(source="planting.planted_on", default=None, allow_null=True)
    planted_acres = serializers.DecimalField(
        9, 3, source="planting.planted_acres", default=None, allow_null=True
    )


class AssignmentSerializer(serializers.Serializer):
    """What a plot gets; neither a blend nor fallow makes it undecided again."""

    plot_id = IdField()
    blend_id = IdField(allow_null=True, required=False)
    fallow = serializers.BooleanField(required=False)
    method = serializers.ChoiceField(choices=Planting.Method.choices, required=False)


class ChangedSerializer(serializers.Serializer):
    changed = serializers.IntegerField(help_text="How many plots got something else than before.")


class PlantedSerializer(serializers.Serializer):
    """The day a plot was planted and the acres that were."""

    planted_on = serializers.DateField()
    planted_acres = serializers.DecimalField(9, 3)


class CopySeasonSerializer(serializers.Serializer):
    from_season = serializers.SlugField(help_text="The season to copy from, like 2026-warm.")
