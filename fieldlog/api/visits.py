"""Visits. A phone makes the id before it sends, so that sending again does no harm."""

from datetime import UTC, datetime, time

from django.utils import timezone
from django.utils.dateparse import parse_date, parse_datetime
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view
from rest_framework import generics, serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from fieldlog.access import check_visit_is_of, visit_for, visit_to_correct_for
from fieldlog.models import Visit
from fieldlog.queries.visits import visits_for
from fieldlog.services.visits import LONGEST_NOTE, correct_visit, record_visit
from plots.access import RECORD, plot_for, property_for
from plots.api.serializers import IdField
from plots.asked import plot_ids_asked


class VisitSerializer(serializers.ModelSerializer):
    plot_id = IdField()
    plot = serializers.CharField(source="plot.name", read_only=True, help_text="Its name.")
    visited_at = serializers.DateTimeField(
        help_text="Such as 2026-11-20T16:05:00-06:00; without an offset it is in the site's time zone."
    )
    note = serializers.CharField(required=False, allow_blank=True, default="", max_length=LONGEST_NOTE)
    recorded_by = serializers.CharField(source="recorded_by.shown_name", read_only=True)

    class Meta:
        model = Visit
        fields = [
            *("id", "plot_id", "plot", "visited_at", "note", "recorded_by", "received_at", "corrected_at"),
        ]
        read_only_fields = ["id", "received_at", "corrected_at"]


class VisitCorrectionSerializer(VisitSerializer):
    class Meta(VisitSerializer.Meta):
        fields = ["visited_at", "note"]


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

    @extend_schema(request=VisitSerializer, responses={200: VisitSerializer, 201: VisitSerializer})
    def put(self, request, slug, visit_id):
        """Record a visit under an id of your own: 201 when it is new, 200 when it is here already, 409 when the id says
        something else."""
        check_visit_is_of(property_for(request.user, slug, RECORD), visit_id)
        asked = VisitSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        said = asked.validated_data
        plot = plot_for(request.user, slug, said["plot_id"], RECORD)
        visit, is_new = record_visit(
            id=visit_id, plot=plot, user=request.user, visited_at=said["visited_at"], note=said["note"]
        )
        return Response(
            VisitSerializer(visit).data, status=status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        )

    @extend_schema(request=VisitCorrectionSerializer, responses=VisitSerializer)
    def patch(self, request, slug, visit_id):
        """Correct when it was or what was noted: your own, or any where you may edit. What came first is kept."""
        visit = visit_to_correct_for(request.user, slug, visit_id)
        asked = VisitCorrectionSerializer(visit, data=request.data, partial=True)
        asked.is_valid(raise_exception=True)
        said = {name: asked.validated_data.get(name, getattr(visit, name)) for name in ("visited_at", "note")}
        return Response(VisitSerializer(correct_visit(visit=visit, user=request.user, **said)).data)


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
