"""The shapes of the API's bodies for machines, boxes, calibrations and fitted settings."""

from rest_framework import serializers

from blends.models import Box, Calibration, Machine
from blends.services.machines import MACHINE_FIELDS
from plots.api.serializers import IdField


class MachineSerializer(serializers.ModelSerializer):
    """A drill or a spreader; null is not known."""

    width_ft = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Openers × what is between them, or the effective swath."
    )

    class Meta:
        model = Machine
        fields = ["id", *MACHINE_FIELDS, "width_ft", "is_archived"]
        extra_kwargs = {"name": {"required": True}, "is_archived": {"required": False}}

    def get_validators(self):
        return []  # the service says it in its own words


class SeedBoxSerializer(serializers.Serializer):
    """Which box a species goes in, and whether somebody chose it; by the rule otherwise."""

    species_id = IdField()
    species = serializers.CharField(read_only=True)
    box = serializers.ChoiceField(Box.choices, allow_null=True, help_text="Null returns it to the rule.")
    is_chosen = serializers.BooleanField(read_only=True)


class CalibrationSerializer(serializers.ModelSerializer):
    """Seed caught over a course. Pounds are bulk pounds."""

    blend_id = IdField(allow_null=True, required=False)
    species_id = IdField(allow_null=True, required=False)
    caught_g = serializers.ListField(
        child=serializers.DecimalField(9, 2, min_value=0),
        help_text="One weight a catch; a spreader: what left the hopper on each pass.",
    )
    calibrated_on = serializers.DateField(required=False, help_text="Today when left out.")
    course_ft = serializers.DecimalField(7, 1, min_value=1, max_value=5280)
    lb_per_ft3 = serializers.DecimalField(
        7,
        3,
        allow_null=True,
        required=False,
        help_text="Weighed; left out, it is worked out from bushel weights where they are known.",
    )
    created_by = serializers.CharField(source="created_by.shown_name", read_only=True, default="")

    class Meta:
        model = Calibration
        fields = [
            "id",
            "box",
            "blend_id",
            "species_id",
            "calibrated_on",
            "setting",
            "gear",
            "caught_g",
            "course_ft",
            "rows_per_catch",
            "catch_width_ft",
            "lb_per_acre",
            "lb_per_ft3",
            "is_lb_per_ft3_weighed",
            "note",
            "is_struck",
            "created_by",
        ]
        read_only_fields = ["catch_width_ft", "lb_per_acre", "is_lb_per_ft3_weighed", "is_struck"]

    def get_validators(self):
        return []


class StruckSerializer(serializers.Serializer):
    is_struck = serializers.BooleanField()


class FittedSerializer(serializers.Serializer):
    """A setting for a rate; `basis` says what it rests on, and why there is none where it is null."""

    setting = serializers.FloatField(allow_null=True)
    low = serializers.FloatField(allow_null=True, help_text="90 % interval; null where it cannot be told.")
    high = serializers.FloatField(allow_null=True)
    basis = serializers.CharField()
    n = serializers.IntegerField(help_text="Calibrations behind it.")
    is_outside = serializers.BooleanField(
        help_text="Beyond what was caught, or what the machine can be set to."
    )
    by_volume = serializers.BooleanField()


class NextPartSerializer(serializers.Serializer):
    name = serializers.CharField()
    species_id = serializers.IntegerField(source="species.pk", default=None, allow_null=True)
    rate_lb_per_acre = serializers.FloatField(allow_null=True, help_text="PLS; bulk of a bought mix.")
    live_fraction = serializers.FloatField(allow_null=True)
    live_from = serializers.CharField()
    lb_per_acre = serializers.FloatField(allow_null=True, help_text="Bulk.")
    lb_per_ft3 = serializers.FloatField(allow_null=True)


class OtherGearSerializer(serializers.Serializer):
    gear = serializers.CharField(source="0", allow_blank=True)
    fitted = FittedSerializer(source="1")


class NextBoxSerializer(serializers.Serializer):
    """One box for the next blend."""

    box = serializers.ChoiceField(Box.choices)
    parts = NextPartSerializer(many=True)
    lb_per_acre = serializers.FloatField(allow_null=True, help_text="Bulk, through this box.")
    lb_per_ft3 = serializers.FloatField(allow_null=True)
    is_lb_per_ft3_weighed = serializers.BooleanField(source="is_weighed")
    gear = serializers.CharField()
    fitted = FittedSerializer(allow_null=True)
    in_other_gears = OtherGearSerializer(many=True)
    catch_row_g = serializers.FloatField(allow_null=True, help_text="By one row over the machine's course.")
    catch_g = serializers.FloatField(
        allow_null=True, help_text="By the whole width over the machine's course."
    )
    full_acres = serializers.FloatField(allow_null=True, help_text="How far a level-full box goes.")
    unknown = serializers.ListField(child=serializers.CharField())
