"""The calculations in the API's own description: the inputs of each, made from what the function says of itself.

They are made whenever the schema is, so a calculation that is written is described here too.
"""

from drf_spectacular.extensions import OpenApiSerializerExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers

from fieldlog.calculations import calculations


class InputsSerializer(serializers.Serializer):
    """The inputs of the calculation that the address names."""


class InputsExtension(OpenApiSerializerExtension):
    """The body of a question: one of as many shapes as there are calculations."""

    target_class = InputsSerializer

    def map_serializer(self, auto_schema, direction):
        return {"anyOf": [_component(auto_schema.registry, one).ref for one in calculations()]}


class CalculationSchema(AutoSchema):
    """Says which calculations there are where an address names one."""

    def get_override_parameters(self):
        names = [one.name for one in calculations()]
        return [OpenApiParameter("calculation", str, OpenApiParameter.PATH, enum=names)]


def component_name(calculation):
    return "".join(part.capitalize() for part in calculation.name.split("-")) + "Inputs"


def _component(registry, calculation):
    component = ResolvedComponent(
        name=component_name(calculation),
        type=ResolvedComponent.SCHEMA,
        object=component_name(calculation),
        schema={
            "type": "object",
            "title": calculation.title,
            "description": f"{calculation.summary} Formula: {calculation.formula}.",
            "properties": {one.name: _property(one) for one in calculation.inputs},
            "additionalProperties": False,
        },
    )
    registry.register_on_missing(component)
    return component


def _property(one):
    value = {"nullable": True, **_TYPES[one.kind](one)}
    if one.is_list:
        value = {"type": "array", "items": value, "nullable": True}
    said = f"{one.label}{f', {one.unit}' if one.unit else ''}. Accepted: {one.accepted}. {one.help}"
    if one.is_required:
        said += " Needed for an answer."
    elif one.default is not None:
        said += f" {one.default} when left out."
    value["description"] = " ".join(said.split())
    if one.example is not None:
        value["example"] = _plain(one.example)
    return value


def _number(one):
    low, high = (
        (one.least if one.above is None else one.above),
        (one.most if one.below is None else one.below),
    )
    schema = {"type": "integer" if one.is_whole else "number"}
    if low is not None:
        schema |= {"minimum": low} | ({} if one.above is None else {"exclusiveMinimum": True})
    if high is not None:
        schema |= {"maximum": high} | ({} if one.below is None else {"exclusiveMaximum": True})
    return schema


_TYPES = {
    "number": _number,
    # in an anyOf of its own, so that each calculation keeps its choices beside its other inputs
    "choice": lambda one: {"anyOf": [{"type": "string", "enum": [str(value) for value, _ in one.choices]}]},
    "date": lambda one: {"type": "string", "format": "date"},
    "flag": lambda one: {"type": "boolean"},
}


def _plain(value):
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return value if isinstance(value, bool | int | float) else str(value)
