"""Visits. A phone makes the id before it sends, so that sending again does no harm."""

from datetime import UTC, datetime, time

from django.db.models import prefetch_related_objects
from django.http import Http404
from django.utils import timezone
from django.utils.dateparse import parse_date, parse_datetime
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view
from rest_framework import generics, serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused, SwardbookError, body
from fieldlog.access import check_visit_is_of, visit_for, visit_to_correct_for
from fieldlog.api.said import (
    BatchReader,
    BatchSerializer,
    PartsReader,
    VisitInBatchReader,
    VisitPutReader,
    VisitPutSerializer,
    refused_in_words,
)
from fieldlog.api.told import BatchAnswerSerializer, VisitSerializer, VisitTakenSerializer
from fieldlog.models import Visit
from fieldlog.queries.visits import PARTS, visits_for
from fieldlog.services.readings import LONGEST_WHY
from fieldlog.services.said import LONGEST_NOTE, PLACE, SaidVisit
from fieldlog.services.taking_in import take_in
from fieldlog.services.visits import correct_visit
from plots.access import RECORD, plot_for, property_for
from plots.api.serializers import IdField
from plots.asked import plot_ids_asked
from plots.models import Plot


class VisitCorrectionSerializer(serializers.Serializer):
    visited_at = serializers.DateTimeField(required=False)
    note = serializers.CharField(required=False, allow_blank=True, max_length=LONGEST_NOTE)
    plot_id = IdField(required=False, help_text="Where it was booked on the wrong plot; needs `why`.")
    why = serializers.CharField(required=False, allow_blank=True, max_length=LONGEST_WHY)


_PERIOD = "A day, or a moment with its offset"


@extend_schema_view(
    get=extend_schema(
        parameters=[
            OpenApiParameter("plot", int, many=True, description="Only of these plots, by id."),
            OpenApiParameter("since", str, description=f"{_PERIOD}: not before it."),
            OpenApiParameter("until", str, description=f"{_PERIOD}: not after it; a day counts to its end."),
        ]
    )
)
class VisitList(generics.ListAPIView):
    """Visits, the latest first."""

    serializer_class = VisitSerializer
    queryset = Visit.objects.none()

    def get_queryset(self):
        asked = self.request.query_params
        visits = visits_for(property_for(self.request.user, self.kwargs["slug"]))
        if (plot_ids := plot_ids_asked(asked)) is not None:
            visits = visits.filter(plot_id__in=plot_ids)
        if "since" in asked:
            visits = visits.filter(visited_at__gte=_moment("since", asked["since"], time.min))
        if "until" in asked:
            visits = visits.filter(visited_at__lte=_moment("until", asked["until"], time.max))
        return visits


class VisitDetail(APIView):
    @extend_schema(responses=VisitSerializer)
    def get(self, request, slug, visit_id):
        """One visit."""
        return Response(VisitSerializer(visit_for(request.user, slug, visit_id)).data)

    @extend_schema(
        request=VisitPutSerializer, responses={200: VisitTakenSerializer, 201: VisitTakenSerializer}
    )
    def put(self, request, slug, visit_id):
        """Record a visit with its readings and pictures under an id of your own: 201 when it is new, 200 when it is here
        already, 409 when the id says something else. Sent again it adds readings and pictures that are new. What cannot
        be of them is refused alone."""
        property = property_for(request.user, slug, RECORD)
        check_visit_is_of(property, visit_id)
        asked = VisitPutReader(data=request.data)
        asked.is_valid(raise_exception=True)
        said = asked.validated_data
        plot = plot_for(request.user, slug, said["plot_id"], RECORD)
        visit, unread = said_visit(said, visit_id, plot, PartsReader(), said.get("recorded_by"))
        [taken] = take_in(
            property=property,
            user=request.user,
            visits=[visit],
            sent_at=said.get("sent_at"),
            phone_id=said.get("phone_id"),
        )
        if taken.error is not None:
            raise taken.error
        prefetch_related_objects([taken.visit], *PARTS)
        return Response(told(taken, unread), status=_status(taken))

    @extend_schema(request=VisitCorrectionSerializer, responses=VisitSerializer)
    def patch(self, request, slug, visit_id):
        """Correct when it was, what was noted or the plot: your own, or any where you may edit. What came first is
        kept."""
        visit = visit_to_correct_for(request.user, slug, visit_id)
        asked = VisitCorrectionSerializer(data=request.data, partial=True)
        asked.is_valid(raise_exception=True)
        said = dict(asked.validated_data)
        plot_id = said.pop("plot_id", None)
        plot = None if plot_id is None else plot_for(request.user, slug, plot_id, RECORD)
        said = {"visited_at": visit.visited_at, "note": visit.note} | said
        correct_visit(visit=visit, user=request.user, plot=plot, **said)
        return Response(VisitSerializer(visit_for(request.user, slug, visit_id)).data)


class VisitBatch(APIView):
    @extend_schema(request=BatchSerializer, responses=BatchAnswerSerializer)
    def post(self, request, slug):
        """Record up to 100 visits at once, each as PUT would: what cannot be of one keeps no other. The answers are in
        the same order."""
        property = property_for(request.user, slug, RECORD)
        asked = BatchReader(data=request.data)
        asked.is_valid(raise_exception=True)
        said = asked.validated_data
        readable = _readable(property, said)
        taken = iter(
            take_in(
                property=property,
                user=request.user,
                visits=[visit for visit, _, error in readable.values() if error is None],
                sent_at=said.get("sent_at"),
                phone_id=said.get("phone_id"),
            )
        )
        found = [
            (raw, unread, None if error else next(taken), error)
            for raw, (_, unread, error) in zip(said["visits"], readable.values(), strict=True)
        ]
        prefetch_related_objects([each.visit for _, _, each, _ in found if each and each.visit], *PARTS)
        return Response({"answers": [_answer(*each) for each in found]})


def said_visit(said, visit_id, plot, reader, recorded_by):
    """A `SaidVisit` of what was posted, and what of it has no shape."""
    readings, unread = reader.read("readings", said.get("readings", ()))
    photos, unread_photos = reader.read("photos", said.get("photos", ()))
    visit = SaidVisit(
        id=visit_id,
        plot=plot,
        visited_at=said["visited_at"],
        note=said["note"],
        place={name: said.get(name) for name in PLACE},
        readings=tuple(readings),
        photos=tuple(photos),
        recorded_by=recorded_by,
    )
    return visit, [*unread, *unread_photos]


def told(taken, unread=()):
    """The visit with what of it was refused. Its readings and pictures are prefetched."""
    taken.visit.refused = [*unread, *taken.refused]
    return VisitTakenSerializer(taken.visit).data


def _status(taken):
    return status.HTTP_201_CREATED if taken.is_new else status.HTTP_200_OK


def _readable(property, said):
    """{position: (SaidVisit or None, what of it has no shape, error or None)}"""
    one, reader = VisitInBatchReader(), PartsReader()
    read = [_read(one, raw) for raw in said["visits"]]
    plots = Plot.objects.filter(property=property).in_bulk({each["plot_id"] for each, _ in read if each})
    found = {}
    for position, (each, error) in enumerate(read):
        if error is None and each["plot_id"] not in plots:
            error = Http404()
        if error is not None:
            found[position] = (None, (), error)
            continue
        plot = plots[each["plot_id"]]
        plot.property = property
        by = each.get("recorded_by") or said.get("recorded_by")
        found[position] = (*said_visit(each, each["id"], plot, reader, by), None)
    return found


def _read(serializer, raw):
    """What was said of a visit, or the error that says why it cannot be read."""
    try:
        return serializer.run_validation(raw), None
    except serializers.ValidationError as error:
        return None, refused_in_words(error)


def _answer(raw, unread, taken, error):
    error = error or taken.error
    visit_id = raw.get("id") if isinstance(raw, dict) else None
    answer = {"id": visit_id[:36] if isinstance(visit_id, str) else ""}
    if error is None:
        return answer | {"status": _status(taken), "visit": told(taken, unread)}
    if isinstance(error, SwardbookError):
        said = body(error.code, error.sentence, error.fields)
        return answer | {"status": error.http_status, **said}
    said = body("not_found", "There is nothing here that you can see.")
    return answer | {"status": status.HTTP_404_NOT_FOUND, **said}


def _moment(name, text, of_day):
    """The moment that is meant; of a day its first or its last.

    Raises
    ------
    Refused
        Neither a day nor a moment, or one that no calendar of ours reaches.
    """
    try:
        if day := parse_date(text):
            return timezone.make_aware(datetime.combine(day, of_day))
        moment = parse_datetime(text)
        if moment is not None:
            aware = timezone.make_aware(moment) if timezone.is_naive(moment) else moment
            return aware.astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise Refused(
        f"{name} is {text[:40]!r}; a day like 2026-11-20 or a moment like 2026-11-20T16:05:00-06:00 is accepted."
    )
