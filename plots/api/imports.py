"""Bringing in boundaries, and the jobs that follow."""

from drf_spectacular.utils import extend_schema
from rest_framework import generics, status
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import EDIT, import_for, job_for, property_for
from plots.api.serializers import (
    AcceptSerializer,
    AnswersSerializer,
    ImportFileSerializer,
    ImportSerializer,
    ImportSummarySerializer,
    JobSerializer,
)
from plots.models import BoundaryImport
from plots.queries import imports_for
from plots.services import imports

_ANSWERS = ("crs", "layer", "swap_axes", "name_field")


class ImportList(generics.ListAPIView):
    """Files brought in, newest first."""

    serializer_class = ImportSummarySerializer
    queryset = BoundaryImport.objects.none()
    parser_classes = [MultiPartParser]

    def get_queryset(self):
        return imports_for(property_for(self.request.user, self.kwargs["slug"], EDIT))

    @extend_schema(request={"multipart/form-data": ImportFileSerializer}, responses={201: ImportSerializer})
    def post(self, request, slug):
        """Send a boundary file. It is kept and read; nothing is stored as plots before it is accepted.

        State 'asking' means that an answer is missing (`report.needs`); a file that cannot be used at all is
        answered with status 400 and the sentence that says why.
        """
        property = property_for(request.user, slug, EDIT)
        asked = ImportFileSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        answers = dict(asked.validated_data)
        row = imports.receive_file(
            property=property, user=request.user, upload=answers.pop("file"), **answers
        )
        if row.state == BoundaryImport.State.REFUSED:
            raise Refused(row.report["sentence"], fields={"file": [row.report["sentence"]]})
        return Response(ImportSerializer(row).data, status=status.HTTP_201_CREATED)


class ImportDetail(APIView):
    @extend_schema(responses=ImportSerializer)
    def get(self, request, slug, import_id):
        """What was read, and what became of it."""
        return Response(ImportSerializer(import_for(request.user, slug, import_id)).data)

    @extend_schema(request=AnswersSerializer, responses=ImportSerializer)
    def patch(self, request, slug, import_id):
        """Answer how the file is to be read; it is read again."""
        row = import_for(request.user, slug, import_id)
        asked = AnswersSerializer(data=request.data, partial=True)
        asked.is_valid(raise_exception=True)
        answers = {name: getattr(row, name) for name in _ANSWERS} | asked.validated_data
        return Response(ImportSerializer(imports.answer_import(boundary_import=row, **answers)).data)

    @extend_schema(responses={204: None})
    def delete(self, request, slug, import_id):
        """Discard a file that nothing was stored from."""
        imports.discard_import(boundary_import=import_for(request.user, slug, import_id))
        return Response(status=status.HTTP_204_NO_CONTENT)


class ImportAccept(APIView):
    @extend_schema(request=AcceptSerializer, responses={202: JobSerializer})
    def post(self, request, slug, import_id):
        """Store outlines as plots, or as new boundaries of plots. Sent twice, it stores them once."""
        row = import_for(request.user, slug, import_id)
        asked = AcceptSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        names = dict(row.outlines.values_list("position", "name"))
        chosen = asked.validated_data.get("accepted")
        if chosen is None:
            chosen = [{"position": position, "plot_id": None} for position in names]
        accepted = [{"name": names.get(item["position"], "")} | item for item in chosen]
        job = imports.accept_import(boundary_import=row, user=request.user, accepted=accepted)
        return Response(JobSerializer(job).data, status=status.HTTP_202_ACCEPTED)


class JobDetail(APIView):
    @extend_schema(responses=JobSerializer)
    def get(self, request, slug, job_id):
        """How far the work is."""
        return Response(JobSerializer(job_for(request.user, slug, job_id)).data)
