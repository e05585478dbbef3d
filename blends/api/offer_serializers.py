"""The shapes of the API's bodies for suppliers, offers and price lists."""

from rest_framework import serializers

from blends.models import Offer, PriceBreak, PriceList, Supplier
from blends.offer_rules import TAG_FIELDS
from blends.queries.offers import tag_notes
from blends.services.suppliers import SUPPLIER_FIELDS
from plots.api.serializers import IdField


class SupplierSerializer(serializers.ModelSerializer):
    """Who sells seed, and what bringing it costs; freight of kind "" is not known, never free."""

    class Meta:
        model = Supplier
        fields = ["id", *SUPPLIER_FIELDS, "is_archived"]
        validators = []  # the service says it


class BreakSerializer(serializers.ModelSerializer):
    """From so many packs on, the price of all of them, quoted as the offer's price is."""

    class Meta:
        model = PriceBreak
        fields = ["from_packs", "quoted_usd", "price_usd"]
        read_only_fields = ["price_usd"]

    def validate(self, said):
        """A break is whole in a change of an offer too, where nothing else has to be said."""
        missing = [name for name in ("from_packs", "quoted_usd") if name not in said]
        if missing:
            raise serializers.ValidationError({name: "This field is required." for name in missing})
        return said


class OfferSerializer(serializers.ModelSerializer):
    """A pack at a price, of a species or of a bought mix, with its tag as far as it is known.

    `quoted_usd` is the price for what `quoted_per` says; the price of a pack follows from it. `price_usd` alone is a
    price by the pack.
    """

    supplier_id = IdField()
    supplier = serializers.CharField(source="supplier.name", read_only=True)
    species_id = IdField(allow_null=True, required=False)
    blend_id = IdField(allow_null=True, required=False)
    item = serializers.SerializerMethodField()
    quoted_usd = serializers.DecimalField(11, 4, required=False, min_value=0)
    price_usd = serializers.DecimalField(10, 2, required=False, min_value=0)
    breaks = BreakSerializer(many=True, required=False)
    replaced_by_id = serializers.IntegerField(read_only=True, allow_null=True)
    replaces_id = serializers.SerializerMethodField()
    price_list_id = serializers.IntegerField(read_only=True, allow_null=True)
    notes = serializers.SerializerMethodField()
    said = serializers.SerializerMethodField(
        help_text="What became of the change, where the offer was ordered or planted and another was made."
    )

    class Meta:
        model = Offer
        fields = [
            "id",
            "supplier_id",
            "supplier",
            "species_id",
            "blend_id",
            "item",
            "variety",
            "pack_lb",
            "quoted_per",
            "quoted_usd",
            "price_usd",
            "breaks",
            "least_packs",
            "most_packs",
            *TAG_FIELDS,
            "quoted_on",
            "valid_until",
            "is_withdrawn",
            "replaced_by_id",
            "replaces_id",
            "price_list_id",
            "notes",
            "said",
        ]
        read_only_fields = ["is_withdrawn"]

    def get_item(self, offer) -> str:
        return str(offer.species or offer.blend)

    def get_replaces_id(self, offer) -> int | None:
        old = getattr(offer, "replaces", None)
        return None if old is None else old.pk

    def get_notes(self, offer) -> list[str]:
        return tag_notes(offer)

    def get_said(self, offer) -> str | None:
        replacement = getattr(offer, "replacement", None)
        return None if replacement is None else replacement.said


class OfferChangeSerializer(OfferSerializer):
    """Some values of an offer; what is left out stays."""

    is_withdrawn = serializers.BooleanField(required=False)

    class Meta(OfferSerializer.Meta):
        read_only_fields = []


class PriceListTextSerializer(serializers.Serializer):
    """A list as text, with tabs, semicolons, commas or bars between its columns; or, as a form, its file."""

    supplier_id = IdField()
    text = serializers.CharField(required=False, trim_whitespace=False, max_length=2_000_000)
    file_name = serializers.CharField(required=False, max_length=255)
    file = serializers.FileField(required=False, allow_empty_file=True)


class ListNameSerializer(serializers.Serializer):
    """What the list calls a seed, and what it is: a species, a bought mix, or neither where it is no seed of ours."""

    name = serializers.CharField(max_length=200)
    species_id = IdField(allow_null=True, required=False)
    blend_id = IdField(allow_null=True, required=False)


class AskedNameSerializer(serializers.Serializer):
    """A name of the list. `is_known` with neither id: no seed of ours. Suggestions are by exact names alone."""

    name = serializers.CharField()
    rows = serializers.IntegerField()
    is_known = serializers.SerializerMethodField()
    species_id = serializers.IntegerField(source="meaning.species_id", default=None, allow_null=True)
    blend_id = serializers.IntegerField(source="meaning.blend_id", default=None, allow_null=True)
    suggested = serializers.SerializerMethodField(help_text="species:12, blend:3 or empty.")

    def get_is_known(self, asked) -> bool:
        return asked.meaning is not None

    def get_suggested(self, asked) -> str:
        return "" if asked.meaning is not None else asked.value


class ListRowSerializer(serializers.Serializer):
    """A row of a list and what would become of it."""

    row = serializers.IntegerField(source="read.index", help_text="Of the table, from 0.")
    line = serializers.IntegerField(source="read.line", help_text="Of the list, from 1.")
    becomes = serializers.ChoiceField(["new", "replaces", "unchanged", "left_out"])
    reason = serializers.CharField()
    why = serializers.CharField(help_text="heading or not_ours, where nothing is to be mended.")
    name = serializers.CharField(source="read.name")
    item = serializers.SerializerMethodField()
    pack_lb = serializers.DecimalField(9, 3, source="offer.pack_lb", default=None, allow_null=True)
    price_usd = serializers.DecimalField(10, 2, source="offer.price_usd", default=None, allow_null=True)
    replaces_id = serializers.IntegerField(source="old.pk", default=None, allow_null=True)
    changes = serializers.ListField(child=serializers.CharField())

    def get_item(self, row) -> str | None:
        return None if row.offer is None else str(row.offer.species or row.offer.blend)


class LeftOutRowSerializer(serializers.Serializer):
    row = serializers.IntegerField()
    line = serializers.IntegerField()
    cells = serializers.ListField(child=serializers.CharField(allow_blank=True))
    reason = serializers.CharField()
    why = serializers.CharField(allow_blank=True)


class CountsSerializer(serializers.Serializer):
    new = serializers.IntegerField()
    replaces = serializers.IntegerField()
    unchanged = serializers.IntegerField()
    left_out = serializers.IntegerField()


class PriceListSummarySerializer(serializers.ModelSerializer):
    supplier_id = serializers.IntegerField()
    supplier = serializers.CharField(source="supplier.name")

    class Meta:
        model = PriceList
        fields = ["id", "supplier_id", "supplier", "file_name", "state", "created_at"]


class PriceListSerializer(PriceListSummarySerializer):
    """A list: while it is matched with what storing would do, and once stored with what was left out."""

    columns = serializers.DictField(
        help_text="Field: column from 0; break:10 from ten packs on; all:pack_lb, all:quoted_on, all:valid_until as text."
    )
    headings = serializers.ListField(child=serializers.CharField())
    wrong = serializers.ListField(child=serializers.CharField(), help_text="What the columns still lack.")
    names = AskedNameSerializer(many=True)
    counts = CountsSerializer()
    rows = ListRowSerializer(many=True)
    left_out = LeftOutRowSerializer(many=True)

    class Meta(PriceListSummarySerializer.Meta):
        fields = [
            *PriceListSummarySerializer.Meta.fields,
            *("heading_row", "headings", "columns", "wrong", "names", "counts", "rows", "left_out"),
        ]


class CorrectedRowSerializer(serializers.Serializer):
    """Cells of a row that was left out, by their column from 0."""

    row = serializers.IntegerField(min_value=0, max_value=10_000)
    cells = serializers.DictField(child=serializers.CharField(allow_blank=True, max_length=2_000))


class PriceListChangeSerializer(serializers.Serializer):
    """How a list is read, what its names mean, and, once it is stored, corrected cells of rows that were left out."""

    columns = serializers.DictField(required=False)
    heading_row = serializers.IntegerField(required=False, min_value=0, max_value=10_000)
    names = ListNameSerializer(many=True, required=False)
    rows = CorrectedRowSerializer(many=True, required=False)
    is_set_aside = serializers.BooleanField(required=False)
