"""Machines: their boxes, what was caught, and the setting for the next blend."""

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import blend_for, machine_for, species_rows
from blends.api.machine_serializers import (
    CalibrationSerializer,
    MachineSerializer,
    NextBoxSerializer,
    SeedBoxSerializer,
    StruckSerializer,
)
from blends.api.things import things_named
from blends.queries.machines import boxes_for, machines_for
from blends.queries.next_blend import next_blend
from blends.services.machines import (
    archive_machine,
    record_calibration,
    save_machine,
    set_boxes,
    strike_calibration,
)
from config.errors import refuse
from plots.access import EDIT, RECORD, check_may_correct, id_in, property_for


class Machines(generics.GenericAPIView):
    @extend_schema(
        responses=MachineSerializer(many=True),
        parameters=[OpenApiParameter("archived", bool, description="Those that were put away.")],
    )
    def get(self, request, slug):
        """The property's drills and spreaders."""
        archived = request.query_params.get("archived") in ("true", "1")
        rows = machines_for(property_for(request.user, slug), archived)
        return self.get_paginated_response(MachineSerializer(self.paginate_queryset(rows), many=True).data)

    @extend_schema(request=MachineSerializer, responses={201: MachineSerializer})
    def post(self, request, slug):
        """Add a machine."""
        property = property_for(request.user, slug, EDIT)
        given = _given(MachineSerializer(data=request.data))
        given.pop("is_archived", None)
        machine = save_machine(property=property, user=request.user, **given)
        return Response(MachineSerializer(machine).data, status=status.HTTP_201_CREATED)


class MachineDetail(generics.GenericAPIView):
    @extend_schema(responses=MachineSerializer)
    def get(self, request, slug, machine_id):
        """One machine."""
        return Response(MachineSerializer(machine_for(request.user, slug, machine_id)).data)

    @extend_schema(request=MachineSerializer, responses=MachineSerializer)
    def patch(self, request, slug, machine_id):
        """Change a machine, or put it away (`is_archived`); what is left out stays."""
        machine = machine_for(request.user, slug, machine_id, EDIT)
        given = _given(MachineSerializer(data=request.data, partial=True))
        is_archived = given.pop("is_archived", machine.is_archived)
        machine = save_machine(property=machine.property, user=request.user, machine=machine, **given)
        return Response(MachineSerializer(archive_machine(machine=machine, is_archived=is_archived)).data)


class MachineBoxes(generics.GenericAPIView):
    @extend_schema(responses=SeedBoxSerializer(many=True))
    def get(self, request, slug, machine_id):
        """Which box each species goes in."""
        machine = machine_for(request.user, slug, machine_id)
        page = self.paginate_queryset(species_rows(machine.property))
        return self.get_paginated_response(SeedBoxSerializer(_boxes(machine, page), many=True).data)

    @extend_schema(request=SeedBoxSerializer(many=True), responses=SeedBoxSerializer(many=True))
    def put(self, request, slug, machine_id):
        """Choose the boxes of the species named; the others stay as they are."""
        machine = machine_for(request.user, slug, machine_id, EDIT)
        given = _given(SeedBoxSerializer(data=request.data, many=True))
        set_boxes(machine=machine, choices={row["species_id"]: row["box"] for row in given})
        rows = species_rows(machine.property).filter(pk__in=[row["species_id"] for row in given])
        return Response(SeedBoxSerializer(_boxes(machine, rows), many=True).data)


class Calibrations(generics.GenericAPIView):
    @extend_schema(responses=CalibrationSerializer(many=True))
    def get(self, request, slug, machine_id):
        """What was caught, the latest first; struck ones too."""
        rows = machine_for(request.user, slug, machine_id).calibrations.select_related("created_by")
        return self.get_paginated_response(
            CalibrationSerializer(self.paginate_queryset(rows), many=True).data
        )

    @extend_schema(request=CalibrationSerializer, responses={201: CalibrationSerializer})
    def post(self, request, slug, machine_id):
        """Record a calibration; the pounds an acre follow from the catches, the course and the machine's width."""
        machine = machine_for(request.user, slug, machine_id, RECORD)
        given = _given(CalibrationSerializer(data=request.data))
        row = record_calibration(machine=machine, user=request.user, **_with_seed(machine.property, given))
        return Response(CalibrationSerializer(row).data, status=status.HTTP_201_CREATED)


class CalibrationDetail(generics.GenericAPIView):
    @extend_schema(responses=CalibrationSerializer)
    def get(self, request, slug, machine_id, calibration_id):
        """One calibration."""
        machine = machine_for(request.user, slug, machine_id)
        return Response(CalibrationSerializer(_calibration(machine, calibration_id)).data)

    @extend_schema(request=StruckSerializer, responses=CalibrationSerializer)
    def patch(self, request, slug, machine_id, calibration_id):
        """Strike a calibration, so that no setting is fitted from it, or let it count again. Nothing is erased."""
        machine = machine_for(request.user, slug, machine_id, RECORD)
        row = _calibration(machine, calibration_id)
        check_may_correct(request.user, machine.property, row)
        given = _given(StruckSerializer(data=request.data))
        return Response(CalibrationSerializer(strike_calibration(calibration=row, **given)).data)


class MachineSettings(generics.GenericAPIView):
    @extend_schema(
        responses=NextBoxSerializer(many=True),
        parameters=[
            OpenApiParameter("blend", int, required=True, description="The next blend."),
            OpenApiParameter(
                "gear", str, description="Whose calibrations count; left out, that of each box's latest one."
            ),
        ],
    )
    def get(self, request, slug, machine_id):
        """The setting of each box for a blend, with its interval, and what to catch."""
        machine = machine_for(request.user, slug, machine_id)
        asked = request.query_params.get("blend", "")
        if id_in(asked) is None:
            refuse("blend", f"blend is “{asked[:30]}”; the id of a blend of this property is accepted.")
        blend = blend_for(request.user, slug, id_in(asked))
        boxes = next_blend(machine, blend, request.query_params.get("gear"))
        return self.get_paginated_response(NextBoxSerializer(self.paginate_queryset(boxes), many=True).data)


def _given(serializer):
    serializer.is_valid(raise_exception=True)
    return serializer.validated_data


def _calibration(machine, calibration_id):
    return get_object_or_404(machine.calibrations.select_related("created_by"), pk=calibration_id)


def _boxes(machine, species):
    rows = list(species)
    boxes = boxes_for(machine, rows)
    chosen = set(machine.seed_boxes.values_list("species", flat=True))
    return [
        {"species_id": row.pk, "species": str(row), "box": boxes[row.pk], "is_chosen": row.pk in chosen}
        for row in rows
    ]


def _with_seed(property, given):
    """The values with the rows that they name."""
    values = {name: value for name, value in given.items() if name not in ("blend_id", "species_id")}
    return {"blend": None, "species": None} | values | things_named(property, given)
