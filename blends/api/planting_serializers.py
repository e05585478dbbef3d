"""The shapes of the API's bodies for planting sheets; what a phone keeps is the same."""

from rest_framework import serializers

from plots.api.serializers import IdField


class _Plain(serializers.Serializer):
    """Reads values that are there already."""


class SheetSeedSerializer(_Plain):
    """Seed of one lot; `lot_id` is null where none is chosen. `pls_lb_per_acre` of a bought mix is bulk."""

    species_id = serializers.SerializerMethodField()
    blend_id = serializers.SerializerMethodField()
    name = serializers.CharField()
    instead_of = serializers.SerializerMethodField()
    lot_id = serializers.SerializerMethodField()
    lot = serializers.CharField(source="lot_name")
    treatment = serializers.SerializerMethodField()
    live_fraction = serializers.FloatField(allow_null=True)
    live_basis = serializers.ChoiceField(["lot", "offer", "assumed", "bulk"])
    pls_lb_per_acre = serializers.FloatField(allow_null=True)
    lb_per_acre = serializers.FloatField(allow_null=True)
    lb = serializers.FloatField(allow_null=True)

    def get_species_id(self, seed) -> int | None:
        return seed.species and seed.species.pk

    def get_blend_id(self, seed) -> int | None:
        return seed.blend and seed.blend.pk

    def get_instead_of(self, seed) -> str:
        return str(seed.instead_of or "")

    def get_lot_id(self, seed) -> int | None:
        return seed.lot and seed.lot.pk

    def get_treatment(self, seed) -> str:
        return seed.lot.treatment if seed.lot else ""


class SheetFillSerializer(_Plain):
    """One fill, or several that are alike; `parts_lb` by the box's seeds."""

    name = serializers.CharField()
    first = serializers.IntegerField()
    last = serializers.IntegerField()
    lb = serializers.FloatField()
    parts_lb = serializers.ListField(child=serializers.FloatField())
    is_part = serializers.BooleanField()


class LastSettingSerializer(_Plain):
    setting = serializers.CharField()
    gear = serializers.CharField()
    on = serializers.DateField()
    lb_per_acre = serializers.FloatField(allow_null=True)
    what = serializers.CharField()
    is_same = serializers.BooleanField()
    is_calibrated = serializers.BooleanField()


class SheetFittedSerializer(_Plain):
    """A setting worked out from calibrations; null where they give none, and `basis` says why."""

    setting = serializers.FloatField(allow_null=True)
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    basis = serializers.CharField()
    is_outside = serializers.BooleanField()


class SheetBoxSerializer(_Plain):
    box = serializers.CharField()
    label = serializers.CharField()
    lb = serializers.FloatField(allow_null=True)
    lb_per_acre = serializers.FloatField(allow_null=True)
    lb_per_ft3 = serializers.FloatField(allow_null=True)
    is_weighed = serializers.SerializerMethodField()
    volume_ft3 = serializers.FloatField(allow_null=True)
    full_lb = serializers.FloatField(allow_null=True)
    seeds = SheetSeedSerializer(many=True)
    fills = SheetFillSerializer(many=True, allow_null=True)
    fills_unknown = serializers.CharField()
    course_ft = serializers.FloatField(allow_null=True)
    catch_row_g = serializers.FloatField(allow_null=True)
    catch_g = serializers.FloatField(allow_null=True)
    last = LastSettingSerializer(allow_null=True)
    fitted = SheetFittedSerializer(allow_null=True)

    def get_is_weighed(self, box) -> bool:
        return box.weighed is not None


class DepthSerializer(_Plain):
    low_in = serializers.FloatField()
    high_in = serializers.FloatField()
    species = serializers.ListField(child=serializers.CharField())


class SheetInoculantSerializer(_Plain):
    group = serializers.CharField()
    species = serializers.ListField(child=serializers.CharField())
    lb = serializers.FloatField(allow_null=True)
    lot = serializers.SerializerMethodField()
    expires_on = serializers.SerializerMethodField()
    trouble = serializers.CharField()

    def get_lot(self, row) -> str:
        return "" if row.lot is None else row.lot.lot_number or f"no. {row.lot.pk}"

    def get_expires_on(self, row) -> str | None:
        expires_on = row.lot and row.lot.expires_on
        return expires_on and expires_on.isoformat()


class SheetCautionSerializer(_Plain):
    key = serializers.CharField()
    label = serializers.CharField()
    sentence = serializers.CharField()
    source = serializers.SerializerMethodField()
    address = serializers.SerializerMethodField()

    def get_source(self, caution) -> str:
        return str(caution.source or "")

    def get_address(self, caution) -> str:
        return caution.source.address if caution.source else ""


class SheetMachineSerializer(_Plain):
    id = serializers.IntegerField(source="pk")
    name = serializers.CharField()
    kind = serializers.CharField()
    openers = serializers.IntegerField(allow_null=True)
    spacing_in = serializers.FloatField(allow_null=True)
    width_ft = serializers.FloatField(allow_null=True)
    course_ft = serializers.FloatField(allow_null=True)


class SheetSerializer(_Plain):
    """The planting sheet of a plot. Pounds are bulk pounds as they are weighed, to a hundredth."""

    plot_id = serializers.IntegerField(source="planting.plot_id")
    plot = serializers.CharField(source="planting.plot.name")
    season = serializers.CharField(source="planting.season.slug")
    blend_id = serializers.IntegerField(source="planting.blend_id")
    blend = serializers.CharField(source="planting.blend")
    mark = serializers.CharField(source="planting.blend.mark")
    method = serializers.CharField(source="planting.method")
    state = serializers.CharField(source="planting.state")
    planted_on = serializers.DateField(source="planting.planted_on", allow_null=True)
    acres = serializers.FloatField(allow_null=True)
    machine = SheetMachineSerializer(allow_null=True)
    level_pct = serializers.FloatField()
    lb = serializers.FloatField(allow_null=True)
    lb_per_acre = serializers.FloatField(allow_null=True)
    is_ready = serializers.BooleanField()
    boxes = SheetBoxSerializer(many=True)
    depths = DepthSerializer(many=True)
    depth_unknown = serializers.ListField(child=serializers.CharField())
    soil_temp_f = serializers.FloatField(allow_null=True)
    soil_temp_of = serializers.ListField(child=serializers.CharField())
    inoculants = SheetInoculantSerializer(many=True)
    cautions = SheetCautionSerializer(many=True)
    gaps = serializers.ListField(child=serializers.CharField())
    restrictions = serializers.ListField(child=serializers.CharField())


class RunStopSerializer(_Plain):
    plot_id = serializers.IntegerField(source="sheet.planting.plot_id")
    plot = serializers.CharField(source="sheet.planting.plot.name")
    lb = serializers.FloatField()
    first_fill = serializers.IntegerField()
    last_fill = serializers.IntegerField()
    left_lb = serializers.FloatField()


class RunBoxSerializer(_Plain):
    label = serializers.CharField()
    seeds = SheetSeedSerializer(many=True)
    parts_lb = serializers.ListField(child=serializers.FloatField())
    lb = serializers.FloatField()
    full_lb = serializers.FloatField()
    fills = SheetFillSerializer(many=True)
    stops = RunStopSerializer(many=True)


class RunSerializer(_Plain):
    """Plots that follow each other with the same seed of the same lots; what is left goes on to the next."""

    plots = serializers.SerializerMethodField()
    blend = serializers.CharField()
    acres = serializers.FloatField(allow_null=True)
    boxes = RunBoxSerializer(many=True)
    unknown = serializers.CharField()

    def get_plots(self, run) -> list[int]:
        return [sheet.plot.pk for sheet in run.sheets]


class LotChoiceSerializer(serializers.Serializer):
    """A lot and its bulk pounds; null is whatever the others of its kind leave."""

    lot_id = IdField()
    lot = serializers.CharField(read_only=True)
    lb = serializers.DecimalField(12, 3, allow_null=True, required=False, default=None)


class LotChoicesSerializer(serializers.Serializer):
    choices = LotChoiceSerializer(many=True)


class LotBalanceSerializer(_Plain):
    """What of a lot is on hand, and promised to plots that are still to be planted. [bulk lb]"""

    lot_id = serializers.IntegerField(source="lot.pk")
    lot = serializers.CharField()
    live_fraction = serializers.FloatField(source="live.fraction", allow_null=True)
    tested_on = serializers.DateField(source="live.tested_on", allow_null=True)
    on_hand_lb = serializers.DecimalField(12, 3, source="lot.on_hand_lb")
    here_lb = serializers.DecimalField(12, 2)
    elsewhere_lb = serializers.DecimalField(12, 2)
    left_lb = serializers.DecimalField(12, 3)


class PlotsNamedSerializer(serializers.Serializer):
    """Plots in the order of the run; all planned ones when left out."""

    plots = serializers.ListField(child=IdField(), required=False, allow_null=True, default=None)


class FilledSerializer(_Plain):
    plots = serializers.IntegerField()
    choices = serializers.IntegerField()
    said = serializers.ListField(child=serializers.CharField(), source="sentences")
