"""What the API says of a calculation and of its answers, read from the description."""

import datetime

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

_ONE = [{"type": "number"}, {"type": "string"}, {"type": "boolean"}]
VALUE = {"oneOf": [*_ONE, {"type": "array", "items": {"oneOf": _ONE, "nullable": True}}], "nullable": True}


@extend_schema_field(VALUE)
class ValueField(serializers.Field):
    """A number, text, true or false, a day as year-month-day, a list of such, or null."""

    def to_representation(self, value):
        if isinstance(value, list | tuple):
            return [self.to_representation(each) for each in value]
        return value.isoformat() if isinstance(value, datetime.date) else value


class InputChoiceSerializer(serializers.Serializer):
    value = ValueField()
    label = serializers.CharField()

    def to_representation(self, choice):
        value, label = choice
        return {"value": value, "label": label}


class AnswerQuantitySerializer(serializers.Serializer):
    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    kind = serializers.CharField(help_text="number, choice, date, flag or text.")
    is_whole = serializers.BooleanField()
    is_list = serializers.BooleanField(help_text="One value for each row.")
    decimals = serializers.IntegerField(
        allow_null=True, help_text="With which it is shown; null: by its size."
    )
    help = serializers.CharField()


class InputSerializer(serializers.Serializer):
    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    kind = serializers.CharField(help_text="number, choice, date or flag.")
    least = serializers.FloatField(allow_null=True, help_text="Accepted itself.")
    most = serializers.FloatField(allow_null=True, help_text="Accepted itself.")
    above = serializers.FloatField(allow_null=True, help_text="Not accepted itself.")
    below = serializers.FloatField(allow_null=True, help_text="Not accepted itself.")
    accepted = serializers.CharField(help_text="The limits in words.")
    is_whole = serializers.BooleanField()
    is_list = serializers.BooleanField(help_text="One value for each row; all lists are of one length.")
    is_required = serializers.BooleanField(help_text="Without it there is no answer that hangs on it.")
    default = ValueField(help_text="What counts when an input that is not required is left out.")
    choices = InputChoiceSerializer(many=True)
    example = ValueField()
    help = serializers.CharField()


class FormulaSourceSerializer(serializers.Serializer):
    title = serializers.CharField()
    publisher = serializers.CharField()
    year = serializers.CharField()
    address = serializers.CharField()
    basis = serializers.CharField(
        help_text="published, worked_out, memory (not checked), common_practice (no source) or definition."
    )
    note = serializers.CharField()


class _ToldSerializer(serializers.Serializer):
    """What stands beside every answer."""

    name = serializers.CharField()
    title = serializers.CharField()
    formula = serializers.CharField()
    sources = FormulaSourceSerializer(many=True)
    notes = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())


class CalculationSerializer(_ToldSerializer):
    topic = serializers.CharField()
    summary = serializers.CharField()
    inputs = InputSerializer(many=True)
    answers = AnswerQuantitySerializer(many=True)


class AnswerSerializer(serializers.Serializer):
    name = serializers.CharField(source="quantity.name")
    label = serializers.CharField(source="quantity.label")
    value = ValueField(help_text="Null where it is not known, never 0 in its place.")
    unit = serializers.CharField(source="quantity.unit")


class AnsweredSerializer(serializers.Serializer):
    name = serializers.CharField(source="calculation.name")
    title = serializers.CharField(source="calculation.title")
    answers = AnswerSerializer(many=True)
    missing = serializers.ListField(
        child=serializers.CharField(), help_text="Labels of the inputs that are not known."
    )
    formula = serializers.CharField(source="calculation.formula")
    sources = FormulaSourceSerializer(source="calculation.sources", many=True)
    notes = serializers.ListField(source="calculation.notes", child=serializers.CharField())
    cautions = serializers.ListField(source="calculation.cautions", child=serializers.CharField())
