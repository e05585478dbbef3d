"""The shapes of the API's bodies for judging a blend. Null is unknown, never 0."""

from datetime import date
from decimal import Decimal

from rest_framework import serializers

from blends.api.serializers import BlendFiguresSerializer, DraftSerializer
from blends.models import Planting
from blends.queries.judgement import MOST_COMPARED
from blends.queries.judgement.calendar import refused_days
from plots.api.serializers import IdField
from plots.models import Plot


class OptionsSerializer(serializers.Serializer):
    """How a blend is judged."""

    method = serializers.ChoiceField(
        choices=Planting.Method.choices,
        required=False,
        help_text="The one with rates when left out, drilled before broadcast.",
    )
    objective = serializers.ChoiceField(
        choices=Plot.Objective.choices,
        required=False,
        help_text="When left out: what most of the plots want on which a stored blend is planned, else balance. "
        "Blends that are compared are judged for balance.",
    )
    seeding_on = serializers.DateField(
        required=False,
        help_text="When left out: the day it was sown, else by the property's average frosts.",
    )
    end_on = serializers.DateField(
        required=False,
        help_text="Termination, at most three years after the seeding. When left out: when the next season's blend "
        "would be sown, by the frosts; without their dates, or with a perennial in the blend, the end of the "
        "twelfth month.",
    )

    def validate(self, given):
        refused = refused_days(given.get("seeding_on"), given.get("end_on"))
        if refused:
            raise serializers.ValidationError(refused)
        return given


class JudgedDraftSerializer(OptionsSerializer, DraftSerializer):
    """A draft with how to judge it."""


class ComparedSerializer(OptionsSerializer):
    blend = serializers.ListField(
        child=IdField(),
        min_length=2,
        max_length=MOST_COMPARED,
        help_text="Ids, the parameter repeated.",
    )


class BandSerializer(serializers.Serializer):
    low = serializers.FloatField(allow_null=True)
    likely = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)


class GivenSourceSerializer(serializers.Serializer):
    """A document that a formula or a figure comes from, or the words for there being none."""

    title = serializers.CharField()
    publisher = serializers.CharField(allow_blank=True)
    year = serializers.CharField(allow_blank=True)
    address = serializers.CharField(allow_blank=True)
    basis = serializers.CharField(default="published", help_text="published, memory, common_practice …")
    note = serializers.CharField(default="")


class CellSerializer(serializers.Serializer):
    """A value of a working; with a species' own values its basis and the keys of its sources."""

    value = serializers.SerializerMethodField(help_text="As text; null where it is not known.")
    basis = serializers.SerializerMethodField()
    sources = serializers.SerializerMethodField(help_text="Keys of /api/v1/sources/.")

    def get_value(self, cell) -> str | None:
        if cell.value is None:
            return None
        return f"{cell.value:.10g}" if isinstance(cell.value, float | Decimal) else str(cell.value)

    def get_basis(self, cell) -> str:
        return cell.fact.basis if cell.fact else ""

    def get_sources(self, cell) -> list[str]:
        return [source.key for source in cell.fact.sources] if cell.fact else []


class WorkingRowSerializer(serializers.Serializer):
    name = serializers.SerializerMethodField()
    cells = serializers.SerializerMethodField()

    def get_name(self, row) -> str:
        return row[0]

    def get_cells(self, row) -> CellSerializer(many=True):
        return CellSerializer(row[1], many=True).data


class WorkingSerializer(serializers.Serializer):
    """How one figure came about."""

    key = serializers.CharField()
    title = serializers.CharField()
    formula = serializers.CharField()
    result = serializers.CharField()
    columns = serializers.ListField(child=serializers.CharField())
    rows = WorkingRowSerializer(many=True)
    sources = GivenSourceSerializer(many=True)
    notes = serializers.ListField(child=serializers.CharField())


class GapSerializer(serializers.Serializer):
    """How far C:N is from what the objective wants; an end of the zone that is null is open."""

    objective = serializers.CharField()
    label = serializers.CharField()
    zone_low = serializers.FloatField(allow_null=True)
    zone_high = serializers.FloatField(allow_null=True)
    by = serializers.FloatField(allow_null=True, help_text="0 inside; negative short of it, positive beyond.")
    sentence = serializers.CharField()


class AvailableNitrogenSerializer(serializers.Serializer):
    """Pounds an acre by one published way; never a fertiliser recommendation."""

    label = serializers.CharField()
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    limits = serializers.CharField()
    source = GivenSourceSerializer()


class ResidueRowSerializer(serializers.Serializer):
    species_id = serializers.IntegerField(source="species.pk")
    species = serializers.CharField(source="species.common_name")
    dry_matter_lb_per_acre = BandSerializer()
    share = serializers.FloatField(allow_null=True)
    cn = serializers.FloatField(allow_null=True)
    nitrogen_pct = serializers.FloatField(allow_null=True)
    is_clipped = serializers.BooleanField()


class ResidueSerializer(serializers.Serializer):
    """The residue at one stage."""

    label = serializers.CharField()
    dry_matter_lb_per_acre = BandSerializer()
    cn = BandSerializer()
    meaning = serializers.CharField(allow_blank=True)
    gap = GapSerializer()
    nitrogen_lb_per_acre = BandSerializer()
    available = AvailableNitrogenSerializer(many=True)
    rows = ResidueRowSerializer(many=True)
    missing = serializers.ListField(child=serializers.CharField())
    workings = WorkingSerializer(many=True)


class ResiduesSerializer(serializers.Serializer):
    leafy = ResidueSerializer()
    mature = ResidueSerializer()


class WeekSerializer(serializers.Serializer):
    week = serializers.IntegerField()
    cover = BandSerializer(help_text="Share of the ground.")
    dry_matter_lb_per_acre = BandSerializer()


class ThresholdSerializer(serializers.Serializer):
    """A published mass and the days above it; `what` is biomass or numbers, which are two things."""

    what = serializers.CharField()
    label = serializers.CharField()
    lb_per_acre = serializers.FloatField()
    days = BandSerializer()
    sentence = serializers.CharField()
    source = GivenSourceSerializer()
    carries_over = serializers.BooleanField(help_text="Whether the figure holds for a blend like this one.")


class CoverSerializer(serializers.Serializer):
    """Residue cover after the mature stand is killed."""

    weeks = WeekSerializer(many=True)
    days_above_30_pct = BandSerializer()
    thresholds = ThresholdSerializer(many=True)
    missing = serializers.ListField(child=serializers.CharField())
    workings = WorkingSerializer(many=True)


class _AboutSpecies(serializers.Serializer):
    key = serializers.CharField()
    sentence = serializers.CharField()
    species_ids = serializers.SerializerMethodField()
    sources = GivenSourceSerializer(many=True)

    def get_species_ids(self, one) -> list[int]:
        return [species.pk for species in one.species]


class FindingSerializer(_AboutSpecies):
    """How components fit each other; `weight` is stop, warn or note."""

    weight = serializers.CharField()


class SpeciesWordsSerializer(serializers.Serializer):
    species_id = serializers.SerializerMethodField()
    words = serializers.SerializerMethodField()

    def get_species_id(self, pair) -> int:
        return pair[0].pk

    def get_words(self, pair) -> str:
        return pair[1].value


class CautionSerializer(_AboutSpecies):
    """A hazard or a rule. Never veterinary or legal advice; local rules and the label come first."""

    label = serializers.CharField()
    basis_label = serializers.CharField(allow_blank=True)
    words = SpeciesWordsSerializer(many=True)


class MonthSerializer(serializers.Serializer):
    first = serializers.DateField()
    browse = serializers.CharField(allow_blank=True, help_text="low, moderate, high, or empty.")
    is_late = serializers.BooleanField(help_text="Food after frost alone.")
    is_seed = serializers.BooleanField()
    is_cover = serializers.BooleanField()
    hangs_on_winter = serializers.BooleanField(help_text="A cold winter takes this browse away.")


class CalendarRowSerializer(serializers.Serializer):
    species_id = serializers.SerializerMethodField()
    species = serializers.SerializerMethodField()
    months = serializers.SerializerMethodField()

    def get_species_id(self, row) -> int:
        return row[0].pk

    def get_species(self, row) -> str:
        return row[0].common_name

    def get_months(self, row) -> MonthSerializer(many=True):
        return MonthSerializer(row[1], many=True).data


class CalendarSerializer(serializers.Serializer):
    """What feeds, month by month; `holes` are months with nothing to eat after the first food."""

    seeding_on = serializers.DateField(allow_null=True)
    end_on = serializers.DateField(allow_null=True)
    months = serializers.SerializerMethodField(help_text="First days.")
    rows = CalendarRowSerializer(many=True)
    holes = serializers.SerializerMethodField(help_text="First days.")
    missing = serializers.ListField(child=serializers.CharField())
    notes = serializers.ListField(child=serializers.CharField())
    workings = WorkingSerializer(many=True)

    def get_months(self, calendar) -> list[date]:
        return calendar.months

    def get_holes(self, calendar) -> list[date]:
        return calendar.holes


class PlotsGapSerializer(serializers.Serializer):
    """Plots of the blend's latest season that want the same; the gap is null where nothing has been decided."""

    plots = serializers.ListField(child=serializers.CharField())
    gap = GapSerializer(allow_null=True)


class JudgementSerializer(serializers.Serializer):
    """All that judging a blend comes to."""

    method = serializers.ChoiceField(choices=Planting.Method.choices)
    objective = serializers.ChoiceField(choices=Plot.Objective.choices)
    figures = BlendFiguresSerializer()
    residues = ResiduesSerializer()
    cover = CoverSerializer()
    findings = FindingSerializer(many=True)
    cautions = CautionSerializer(many=True)
    calendar = CalendarSerializer()
    workings = WorkingSerializer(many=True)
    plots = PlotsGapSerializer(many=True)


class ComparedBlendSerializer(serializers.Serializer):
    """One of the blends that are compared."""

    blend_id = serializers.IntegerField(source="blend.pk")
    blend = serializers.CharField()
    judgement = JudgementSerializer()
