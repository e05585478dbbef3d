"""Work: what is to be done, and reports that it was. Ids are made before sending, so that sending again does no harm."""

from django.db import transaction
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from config.errors import Refused, SwardbookError
from fieldlog.api import work_serializers as told
from fieldlog.api.said import PartsReader
from fieldlog.models import WorkItem
from fieldlog.queries.work import minutes_by_plot, work_for
from fieldlog.queries.work_asked import filtered
from fieldlog.services.phones import check_sender
from fieldlog.services.said import PHOTO, refused_part
from fieldlog.services.work import add_work, change_work, drop_work, reopen_work, take_work
from fieldlog.services.work_photos import name_photo
from fieldlog.services.work_reports import report_work, strike_report
from fieldlog.work_access import (
    check_item_is_of,
    check_may_change_work,
    check_may_strike,
    check_report_is_of,
    may_change_work,
    work_item_for,
    work_report_for,
)
from plots.access import RECORD, property_for
from plots.asked import plot_ids_asked

_CREATED, _OK = status.HTTP_201_CREATED, status.HTTP_200_OK


class WorkList(generics.GenericAPIView):
    @extend_schema(
        responses=told.WorkSerializer(many=True),
        parameters=[
            OpenApiParameter("plot", int, many=True, description="Only of these plots, by id."),
            OpenApiParameter(
                "state", str, enum=WorkItem.State.values, description="Without it, what is open."
            ),
            OpenApiParameter("kind", str, enum=WorkItem.Kind.values, description="Only of this kind."),
            OpenApiParameter("mine", bool, description="Only what is yours or nobody's."),
            OpenApiParameter(
                "sort", str, enum=["due", "plot"], description="By the day (default) or by plot."
            ),
        ],
    )
    def get(self, request, slug):
        """Work, the soonest first; what has no day comes last."""
        property = property_for(request.user, slug)
        rows = filtered(
            work_for(property), request.user, request.query_params, plot_ids_asked(request.query_params)
        )
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(told.WorkSerializer(page, many=True).data)

    @extend_schema(request=told.WorkSaidSerializer, responses={201: told.WorkDetailSerializer})
    def post(self, request, slug):
        """Write down something to be done."""
        property = property_for(request.user, slug, RECORD)
        given = told.WorkSaidSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        item, _ = add_work(property=property, user=request.user, said=given.validated_data)
        return _answer(request, slug, item, _CREATED)


class WorkDetail(generics.GenericAPIView):
    @extend_schema(responses=told.WorkDetailSerializer)
    def get(self, request, slug, work_id):
        """One item with what was reported on it."""
        return _answer(request, slug, WorkItem(pk=work_id))

    @extend_schema(
        request=told.WorkPutSerializer,
        responses={200: told.WorkDetailSerializer, 201: told.WorkDetailSerializer},
    )
    def put(self, request, slug, work_id):
        """Write it down under an id of your own: 201 when it is new, 200 when it is here already, 409 when the id says
        something else, or another person wrote it down."""
        property = property_for(request.user, slug, RECORD)
        check_item_is_of(property, work_id)
        given = told.WorkPutSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        said = dict(given.validated_data)
        _check_sender(request.user, said, "wrote this down")
        item, is_new = add_work(property=property, user=request.user, said=said, id=work_id)
        return _answer(request, slug, item, _CREATED if is_new else _OK)

    @extend_schema(request=told.WorkChangeSerializer, responses=told.WorkDetailSerializer)
    def patch(self, request, slug, work_id):
        """Change it: your own, or any where you may edit. `{"assigned_to_id": <yours>}` alone takes what nobody has."""
        item = work_item_for(request.user, slug, work_id, RECORD)
        given = told.WorkChangeSerializer(data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        wanted = dict(given.validated_data)
        if wanted == {"assigned_to_id": request.user.pk} and not may_change_work(
            request.user, item.property, item
        ):
            return _answer(request, slug, take_work(item=item, user=request.user))
        check_may_change_work(request.user, item.property, item)
        state, why = wanted.pop("state", None), wanted.pop("why", "")
        with transaction.atomic():
            if wanted:
                change_work(item=item, user=request.user, wanted=wanted)
            if state == WorkItem.State.DROPPED:
                drop_work(item=item, user=request.user, why=why)
            elif state == WorkItem.State.OPEN:
                reopen_work(item=item, user=request.user)
        return _answer(request, slug, item)


class WorkReportDetail(generics.GenericAPIView):
    @extend_schema(
        request=told.WorkReportPutSerializer,
        responses={200: told.WorkReportAnswerSerializer, 201: told.WorkReportAnswerSerializer},
    )
    def put(self, request, slug, report_id):
        """Report work under an id of your own: 201 when it is new, 200 when it is here already, 409 when the id says
        something else. Sent again it adds pictures that are new. A picture that cannot be used is refused alone."""
        property = property_for(request.user, slug, RECORD)
        check_report_is_of(property, report_id)
        given = told.WorkReportReader(data=request.data)
        given.is_valid(raise_exception=True)
        said = dict(given.validated_data)
        sent_at = _check_sender(request.user, said, "reported this work")
        photos, refused = PartsReader().read("photos", said.pop("photos", ()))
        item = WorkItem.objects.filter(pk=said.pop("item_id"), property=property).first()
        if item is None:
            raise Refused(
                "The work that this reports on is not on this property; the id of one of its items is accepted.",
                fields={"item_id": ["No such work here."]},
            )
        item.property = property
        with transaction.atomic():
            report, is_new = report_work(
                id=report_id,
                item=item,
                user=request.user,
                done_at=said.pop("done_at"),
                said=said,
                sent_at=sent_at,
            )
            report.item = item
            refused += _name_photos(report, request.user, photos, sent_at)
        return _report_answer(request, slug, report_id, refused, _CREATED if is_new else _OK)

    @extend_schema(responses=told.WorkReportAnswerSerializer)
    def get(self, request, slug, report_id):
        """One report."""
        return _report_answer(request, slug, report_id)


class WorkReportStrike(generics.GenericAPIView):
    @extend_schema(request=None, responses=told.WorkReportAnswerSerializer)
    def post(self, request, slug, report_id):
        """Say that it was entered by mistake. Without another report that says so, the work is not done."""
        report = work_report_for(request.user, slug, report_id, RECORD)
        check_may_strike(request.user, report)
        strike_report(report=report, user=request.user)
        return _report_answer(request, slug, report_id)


class WorkMinutes(generics.GenericAPIView):
    @extend_schema(
        responses=told.PlotMinutesSerializer(many=True),
        parameters=[OpenApiParameter("plot", int, many=True, description="Only of these plots, by id.")],
    )
    def get(self, request, slug):
        """Minutes reported by plot; a plot of which nobody said any is not in it."""
        property = property_for(request.user, slug)
        sums = minutes_by_plot(property, plot_ids_asked(request.query_params))
        rows = [{"plot_id": plot_id, "minutes": minutes} for plot_id, minutes in sorted(sums.items())]
        return self.get_paginated_response(
            told.PlotMinutesSerializer(self.paginate_queryset(rows), many=True).data
        )


def _check_sender(user, said, did):
    """Take who sends out of what was said; when it was sent, or None."""
    by, phone_id = said.pop("recorded_by", None), said.pop("phone_id", None)
    check_sender(user, recorded_by=by, phone_id=phone_id, did=did)
    return said.pop("sent_at", None)


def _name_photos(report, user, photos, sent_at):
    """Keep the facts of the pictures; those that cannot be used come back, each with its sentence."""
    refused = []
    for said in photos:
        try:
            name_photo(report=report, user=user, said=said, sent_at=sent_at)
        except SwardbookError as error:
            refused.append(refused_part(said["id"], PHOTO, error))
    return refused


def _answer(request, slug, item, code=_OK):
    return Response(told.WorkDetailSerializer(work_item_for(request.user, slug, item.pk)).data, status=code)


def _report_answer(request, slug, report_id, refused=(), code=_OK):
    report = work_report_for(request.user, slug, report_id)
    report.item = work_item_for(request.user, slug, report.item_id)
    report.refused = refused
    return Response(told.WorkReportAnswerSerializer(report).data, status=code)
