"""What the API takes and gives of planting records and terminations."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from blends.models import Box, PlantingRecord, SprayedProduct, Termination
from blends.queries.fieldwork import dry_lb_per_acre
from blends.services.planting_said import SAID as PLANTING_SAID
from blends.services.termination_said import PRODUCT
from blends.services.termination_said import SAID as TERMINATION_SAID
from plots.api.serializers import IdField


class GivenSeedSerializer(serializers.Serializer):
    """Seed that went in: of a lot, or of a species or bought mix whose lot nobody knows."""

    lot_id = IdField(required=False, allow_null=True)
    species_id = IdField(required=False, allow_null=True)
    blend_id = IdField(required=False, allow_null=True, help_text="A mix that was bought.")
    loaded_lb = serializers.DecimalField(
        12, 3, required=False, allow_null=True, min_value=0, help_text="Put in. [bulk lb]"
    )
    left_lb = serializers.DecimalField(
        12, 3, required=False, allow_null=True, min_value=0, help_text="Left in the hopper. [bulk lb]"
    )
    used_lb = serializers.DecimalField(
        12,
        3,
        required=False,
        allow_null=True,
        min_value=0,
        help_text="Used; follows from the two where they are given. [bulk lb]",
    )
    box = serializers.ChoiceField(
        Box.choices,
        required=False,
        allow_null=True,
        write_only=True,
        help_text="Of the machine, for `boxes_left_lb`.",
    )


def _left_field():
    return serializers.DecimalField(12, 3, required=False, allow_null=True, min_value=0)


class BoxesLeftSerializer(serializers.Serializer):
    """What was left of the mix in each box. [bulk lb]"""

    main = _left_field()
    small = _left_field()


class SeedSerializer(GivenSeedSerializer):
    seed = serializers.CharField(source="name", help_text="Species or mix, with the lot's number.")
    used_lb = serializers.DecimalField(12, 3)
    target_lb_per_acre = serializers.FloatField(
        allow_null=True, help_text="What was asked for that day; null: not known. [bulk lb/ac]"
    )
    cost_usd = serializers.DecimalField(
        12, 2, allow_null=True, help_text="Null while unknown, and without the right to see costs."
    )


@extend_schema_field(
    {"type": "object", "additionalProperties": {"type": "string"}, "example": {"main": "42"}}
)
class SettingsField(serializers.JSONField):
    """Settings of the boxes: `main` and `small`."""


class PlantingRecordSaidSerializer(serializers.ModelSerializer):
    """What a person says of a planting; in a correction what is left out stays as it was."""

    machine_id = IdField(required=False, allow_null=True)
    settings = SettingsField(required=False)
    depths_checked_in = serializers.ListField(
        child=serializers.FloatField(), required=False, help_text="Depths at which seed was found. [in]"
    )
    hopper_left_lb = serializers.DecimalField(
        12,
        3,
        required=False,
        allow_null=True,
        write_only=True,
        min_value=0,
        help_text="Left of the mix as a whole; shared by what was put in. [bulk lb]",
    )
    boxes_left_lb = BoxesLeftSerializer(
        required=False,
        allow_null=True,
        write_only=True,
        help_text="The same by box, shared among the seeds that name the box.",
    )
    is_counted = serializers.BooleanField(
        default=False,
        write_only=True,
        help_text="The bags were weighed: what the book lacks is entered as found.",
    )
    seeds = GivenSeedSerializer(many=True, required=False)

    class Meta:
        model = PlantingRecord
        fields = [*PLANTING_SAID, "machine_id", "hopper_left_lb", "boxes_left_lb", "is_counted", "seeds"]
        extra_kwargs = {"started_at": {"required": False}, "note": {"trim_whitespace": True}}


class PlantingRecordGivenSerializer(PlantingRecordSaidSerializer):
    """Of which plot in which season."""

    season = serializers.SlugField(help_text="Like 2027-warm.")
    plot_id = IdField()
    recorded_by = IdField(
        required=False,
        allow_null=True,
        default=None,
        write_only=True,
        help_text="Id of the person who recorded it; refused from another.",
    )

    class Meta(PlantingRecordSaidSerializer.Meta):
        fields = ["season", "plot_id", "recorded_by", *PlantingRecordSaidSerializer.Meta.fields]


class PlantingRecordCorrectionSerializer(PlantingRecordSaidSerializer):
    id = serializers.UUIDField(
        required=False, help_text="Of the record that takes this one's place; made here when it is left out."
    )

    class Meta(PlantingRecordSaidSerializer.Meta):
        fields = ["id", *PlantingRecordSaidSerializer.Meta.fields]


class PlantingRecordSerializer(serializers.ModelSerializer):
    """A planting record; `holds` says that it was neither corrected nor struck."""

    season = serializers.CharField(source="planting.season.slug")
    plot_id = serializers.IntegerField(source="planting.plot_id")
    plot = serializers.CharField(source="planting.plot.name")
    machine_id = serializers.IntegerField(allow_null=True)
    settings = SettingsField()
    seeds = SeedSerializer(many=True, source="told_seeds")
    cost_usd = serializers.DecimalField(
        12,
        2,
        allow_null=True,
        help_text="Of its seed; null while unknown, and without the right to see costs.",
    )
    holds = serializers.BooleanField()
    replaced_by_id = serializers.UUIDField(allow_null=True)
    recorded_by = serializers.CharField(source="created_by.shown_name")
    recorded_at = serializers.DateTimeField(source="created_at")

    class Meta:
        model = PlantingRecord
        fields = [
            *(
                "id",
                "season",
                "plot_id",
                "plot",
                *PLANTING_SAID,
                "mapped_acres",
                "machine_id",
                "seeds",
                "cost_usd",
            ),
            *("holds", "replaced_by_id", "is_struck", "struck_because", "recorded_by", "recorded_at"),
        ]


class StrikeSerializer(serializers.Serializer):
    reason = serializers.CharField(max_length=300)


class ProductSerializer(serializers.ModelSerializer):
    """A product in the tank as its label has it. An interval that the label does not give is null, and said so."""

    class Meta:
        model = SprayedProduct
        fields = PRODUCT
        extra_kwargs = {
            name: {"required": True, "allow_null": True, "help_text": "Null: the label gives none."}
            for name in ("grazing_days", "planting_days")
        }


class TerminationSaidSerializer(serializers.ModelSerializer):
    """How a stand was ended; in a correction what is left out stays as it was."""

    products = ProductSerializer(many=True, required=False, help_text="For a herbicide.")

    class Meta:
        model = Termination
        fields = [*TERMINATION_SAID, "products"]


class TerminationGivenSerializer(TerminationSaidSerializer):
    season = serializers.SlugField(help_text="Like 2027-warm: in which it was sown.")
    plot_id = IdField()

    class Meta(TerminationSaidSerializer.Meta):
        fields = ["season", "plot_id", *TerminationSaidSerializer.Meta.fields]


class TerminationCorrectionSerializer(TerminationSaidSerializer):
    id = serializers.UUIDField(
        required=False,
        help_text="Of the termination that takes this one's place; made here when it is left out.",
    )

    class Meta(TerminationSaidSerializer.Meta):
        fields = ["id", *TerminationSaidSerializer.Meta.fields]


class TerminationSerializer(serializers.ModelSerializer):
    """A termination; `holds` says that it was neither corrected nor struck."""

    season = serializers.CharField(source="planting.season.slug")
    plot_id = serializers.IntegerField(source="planting.plot_id")
    plot = serializers.CharField(source="planting.plot.name")
    products = ProductSerializer(many=True)
    dry_lb_per_acre = serializers.SerializerMethodField()
    holds = serializers.SerializerMethodField()
    replaced_by_id = serializers.UUIDField(allow_null=True)
    recorded_by = serializers.CharField(source="created_by.shown_name")
    recorded_at = serializers.DateTimeField(source="created_at")

    class Meta:
        model = Termination
        fields = [
            *(
                "id",
                "season",
                "plot_id",
                "plot",
                *TERMINATION_SAID,
                "follow_up_done_on",
                "dry_lb_per_acre",
                "products",
            ),
            *("holds", "replaced_by_id", "is_struck", "struck_because", "recorded_by", "recorded_at"),
        ]

    def get_dry_lb_per_acre(self, row) -> float | None:
        return dry_lb_per_acre(row)

    def get_holds(self, row) -> bool:
        return row.replaced_by_id is None and not row.is_struck


class FollowUpSerializer(serializers.Serializer):
    done_on = serializers.DateField(allow_null=True, help_text="Null opens it again.")


class RestrictionSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField()
    plot = serializers.CharField()
    kind = serializers.CharField(help_text="reentry, grazing or planting.")
    until = serializers.DateTimeField(help_text="The last moment at which it holds.")
    product = serializers.CharField(help_text="Whose label holds longest.")
    sentence = serializers.CharField()
    termination_id = serializers.UUIDField(source="termination.pk")


class DifferenceSerializer(serializers.Serializer):
    """Used against planned; null is not known."""

    used_lb = serializers.FloatField(allow_null=True, help_text="[bulk lb]")
    planned_lb = serializers.FloatField(allow_null=True, help_text="Target × mapped acres. [bulk lb]")
    drilled_acres = serializers.FloatField()
    mapped_acres = serializers.FloatField(allow_null=True)
    target_lb_per_acre = serializers.FloatField(allow_null=True, help_text="[bulk lb/ac]")
    delivered_lb_per_acre = serializers.FloatField(allow_null=True, help_text="[bulk lb/ac]")
    difference_lb = serializers.FloatField(allow_null=True)
    by_acres_lb = serializers.FloatField(allow_null=True, help_text="(drilled − mapped) × target.")
    by_rate_lb = serializers.FloatField(allow_null=True, help_text="(delivered − target) × drilled.")
    heavy_share = serializers.FloatField(allow_null=True, help_text="Above 0 heavy, below 0 light. [-]")


class SeedDeliveredSerializer(serializers.Serializer):
    seed = serializers.CharField(source="item")
    found = DifferenceSerializer()
    words = serializers.CharField()
    cost_usd = serializers.DecimalField(12, 2, allow_null=True)


class PlotDeliveredSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField(source="planting.plot_id")
    plot = serializers.CharField(source="planting.plot.name")
    seeds = SeedDeliveredSerializer(many=True)
    not_recorded = serializers.ListField(child=serializers.CharField())
    total = DifferenceSerializer(allow_null=True)
    words = serializers.CharField()
    cost_usd = serializers.DecimalField(
        12, 2, allow_null=True, help_text="Null while unknown, and without the right to see costs."
    )
    cost_usd_per_acre = serializers.DecimalField(12, 2, allow_null=True)
