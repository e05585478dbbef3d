"""What the API says and takes of seed in stock and of inoculant."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from blends.models import InoculantLot, Lot, LotTest, StockEntry
from blends.services.lots import LOT_FIELDS
from plots.api.serializers import IdField


def _figure(words, **kwargs):
    """A decimal of any size: the service says what is accepted."""
    return serializers.DecimalField(max_digits=None, decimal_places=None, help_text=words, **kwargs)


def _usd(words):
    return serializers.DecimalField(
        12, 2, read_only=True, allow_null=True, help_text=f"{words} Only with costs."
    )


class LotSerializer(serializers.ModelSerializer):
    """A seed lot: its tag as it came, and what is on hand. Costs are left out for who may not see them."""

    species_id = serializers.IntegerField(read_only=True, allow_null=True)
    blend_id = serializers.IntegerField(read_only=True, allow_null=True)
    name = serializers.CharField(source="item.__str__", read_only=True, help_text="Of the species or mix.")
    on_hand_lb = serializers.DecimalField(12, 3, read_only=True, help_text="Bulk pounds.")
    pls_lb = serializers.SerializerMethodField(
        help_text="Pounds of pure live seed on hand; null while not known, and for a mix."
    )
    alive_pct = serializers.SerializerMethodField(
        help_text="Germination, hard and dormant seed by the latest test, else by the tag; null while not known."
    )
    tested_on = serializers.SerializerMethodField(help_text="Day of that test, or first of the tag's month.")
    test_age_months = serializers.SerializerMethodField(
        help_text="Calendar months after the month of the test."
    )
    places = serializers.SerializerMethodField()
    has_photo = serializers.SerializerMethodField()
    cost_usd = _usd("Goods with their share of the freight.")
    on_hand_usd = serializers.SerializerMethodField(
        help_text="What the seed on hand has cost. Only with costs."
    )

    class Meta:
        model = Lot
        fields = [
            *("id", "species_id", "blend_id", "name", *LOT_FIELDS),
            *("on_hand_lb", "pls_lb", "alive_pct", "tested_on", "test_age_months", "places", "has_photo"),
            *("cost_usd", "on_hand_usd", "created_at"),
        ]

    def to_representation(self, row):
        """Of a StockRow."""
        self._row = row
        said = super().to_representation(row.lot)
        if not self.context["with_costs"]:
            for name in ("cost_usd", "on_hand_usd"):
                del said[name]
        return said

    @extend_schema_field({"type": "number", "nullable": True})
    def get_pls_lb(self, lot):
        return None if self._row.pls_lb is None else round(self._row.pls_lb, 3)

    @extend_schema_field({"type": "number", "nullable": True})
    def get_alive_pct(self, lot):
        return self._row.live.alive_pct

    @extend_schema_field({"type": "string", "format": "date", "nullable": True})
    def get_tested_on(self, lot):
        return self._row.live.tested_on

    @extend_schema_field({"type": "integer", "nullable": True})
    def get_test_age_months(self, lot):
        return None if self._row.age is None else self._row.age.months

    @extend_schema_field(
        {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {"place": {"type": "string"}, "lb": {"type": "string", "format": "decimal"}},
            },
            "description": "Where it lies, most first; an empty place was not said.",
        }
    )
    def get_places(self, lot):
        return [{"place": place, "lb": f"{lb:.3f}"} for place, lb in self._row.places]

    @extend_schema_field(bool)
    def get_has_photo(self, lot):
        return bool(lot.tag_photo)

    @extend_schema_field({"type": "string", "format": "decimal", "nullable": True})
    def get_on_hand_usd(self, lot):
        return None if self._row.value_usd is None else f"{self._row.value_usd:.2f}"


class LotChangeSerializer(serializers.ModelSerializer):
    """What the tag says; null or empty is not on it."""

    class Meta:
        model = Lot
        fields = list(LOT_FIELDS)


class StockEntrySerializer(serializers.Serializer):
    """A line of the ledger; pounds above 0 came, below 0 went."""

    id = serializers.IntegerField(read_only=True)
    kind = serializers.ChoiceField(StockEntry.Kind.choices, read_only=True)
    on = serializers.DateField(read_only=True)
    lb = serializers.DecimalField(
        12, 3, read_only=True, help_text="Of a count: what it differs from the book."
    )
    counted_lb = serializers.DecimalField(12, 3, read_only=True, allow_null=True)
    balance_lb = serializers.DecimalField(
        12,
        3,
        source="balance",
        read_only=True,
        allow_null=True,
        help_text="On hand after it; null if taken back.",
    )
    place = serializers.CharField(read_only=True)
    reason = serializers.CharField(read_only=True)
    planting_record = serializers.UUIDField(
        source="record_seed.record_id", read_only=True, default=None, allow_null=True
    )
    cost_usd = _usd("Of what was used, lost or short.")
    by = serializers.CharField(source="created_by.shown_name", read_only=True, default="")
    created_at = serializers.DateTimeField(read_only=True)
    is_taken_back = serializers.BooleanField(read_only=True)
    taken_back_because = serializers.CharField(read_only=True)

    def to_representation(self, entry):
        said = super().to_representation(entry)
        if not self.context["with_costs"]:
            del said["cost_usd"]
        return said


class NewStockEntrySerializer(serializers.Serializer):
    """A loss (`reason`), a count, or a move (`place` to `to_place`)."""

    kind = serializers.ChoiceField(["lost", "counted", "moved"])
    lb = _figure("Bulk pounds lost, counted or moved.")
    on = serializers.DateField()
    place = serializers.CharField(
        max_length=80,
        required=False,
        allow_blank=True,
        allow_null=True,
        help_text="Left out: of a loss where most lies, of a count where all lies, of a move the seed whose place was not said.",
    )
    to_place = serializers.CharField(max_length=80, required=False, help_text="Of a move.")
    reason = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")

    def validate(self, values):
        if values["kind"] == "moved" and not values.get("to_place"):
            raise serializers.ValidationError({"to_place": "A move needs the place where the seed lies now."})
        return values


class StockCountSerializer(serializers.Serializer):
    lot_id = IdField()
    lb = _figure("Bulk pounds counted; 0 or more.")


class StockCountsSerializer(serializers.Serializer):
    """What was counted at one place on a day: all of it is stored or nothing."""

    place = serializers.CharField(max_length=80, allow_blank=True, help_text="Empty is a place not said.")
    on = serializers.DateField()
    counts = StockCountSerializer(many=True, allow_empty=False)


class StockCountedSerializer(serializers.Serializer):
    lot_id = serializers.IntegerField()
    counted_lb = serializers.DecimalField(12, 3)
    differs_lb = serializers.DecimalField(12, 3, source="lb", help_text="From the book.")


class StockTakeBackSerializer(serializers.Serializer):
    reason = serializers.CharField(max_length=300)


class TagPhotoSerializer(serializers.Serializer):
    file = serializers.FileField(allow_empty_file=True, help_text="JPEG, PNG or WebP, at most 12 MB.")


class LotTestSerializer(serializers.ModelSerializer):
    germination_pct = _figure("Germination, or alive by tetrazolium; % of the pure seed.")
    hard_pct = _figure("Null: the tag's figure stays beside it.", required=False, allow_null=True)
    dormant_pct = _figure("Null: the tag's figure stays beside it.", required=False, allow_null=True)

    class Meta:
        model = LotTest
        fields = [
            *("id", "kind", "tested_on", "germination_pct", "hard_pct", "dormant_pct"),
            *("seeds_tested", "tested_by", "is_struck", "created_at"),
        ]
        read_only_fields = ["is_struck"]


class LotTestStruckSerializer(serializers.Serializer):
    is_struck = serializers.BooleanField()


class InoculantSerializer(serializers.ModelSerializer):
    """Inoculant for a group of legumes. `cost_usd` is left out for who may not see costs."""

    treats_lb = _figure("Pounds of seed that it treats.", required=False, allow_null=True)
    is_expired = serializers.BooleanField(read_only=True, help_text="Today.")
    expires_soon = serializers.BooleanField(read_only=True, help_text="Within 30 days from today.")

    class Meta:
        model = InoculantLot
        fields = [
            *("id", "inoculant_group", "lot_number", "treats_lb", "received_on", "expires_on"),
            *("kept_at", "cost_usd", "used_up_on", "note", "is_expired", "expires_soon", "created_at"),
        ]

    def to_representation(self, row):
        said = super().to_representation(row)
        if not self.context["with_costs"]:
            del said["cost_usd"]
        return said
