"""What rules propose, the rules with their thresholds, and what people decide."""

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, serializers
from rest_framework.response import Response

from config.errors import Refused
from fieldlog.models import Proposal
from fieldlog.queries.proposals import proposals_for
from fieldlog.services.proposals import accept_proposal, dismiss_proposal, undo_decision
from fieldlog.services.rule_settings import rules_of, save_rule
from fieldlog.work_access import proposal_for, rule_for
from plots.access import EDIT, OWN, property_for
from plots.api.serializers import IdField
from plots.asked import plot_ids_asked


class ProposalSerializer(serializers.ModelSerializer):
    plot_id = serializers.IntegerField(read_only=True)
    plot = serializers.CharField(source="plot.name", read_only=True)
    reading_id = serializers.UUIDField(read_only=True, help_text="On which it rests.")
    thresholds = serializers.DictField(
        child=serializers.FloatField(allow_null=True), read_only=True, help_text="Of the rule when it spoke."
    )
    work_kind = serializers.CharField(
        read_only=True, help_text="What the work would be; blank: a thought for the next blend."
    )
    decided_by = serializers.CharField(
        source="decided_by.shown_name", read_only=True, allow_null=True, default=None
    )
    work_id = serializers.UUIDField(source="work_item_id", read_only=True, allow_null=True)

    class Meta:
        model = Proposal
        fields = [
            *("id", "plot_id", "plot", "reading_id", "rule", "thresholds", "sentence", "source", "work_kind"),
            *("due_on", "state", "made_at", "decided_by", "decided_at", "why", "work_id"),
        ]


class ProposalAcceptSerializer(serializers.Serializer):
    assigned_to_id = IdField(required=False, allow_null=True, default=None, help_text="Who is to do it.")
    due_on = serializers.DateField(
        required=False, allow_null=True, default=None, help_text="Another last day than the proposed one."
    )


class ProposalDismissSerializer(serializers.Serializer):
    why = serializers.CharField(max_length=300)


class FieldRuleThresholdSerializer(serializers.Serializer):
    name = serializers.CharField()
    label = serializers.CharField()
    unit = serializers.CharField()
    least = serializers.FloatField(allow_null=True)
    most = serializers.FloatField(allow_null=True)
    default = serializers.FloatField()
    value = serializers.FloatField(help_text="As this property has it.")
    help = serializers.CharField()


class FieldRuleSerializer(serializers.Serializer):
    key = serializers.CharField(source="rule.key")
    title = serializers.CharField(source="rule.title")
    summary = serializers.CharField(source="rule.summary")
    kinds = serializers.ListField(
        source="rule.kinds", child=serializers.CharField(), help_text="Of readings that it looks at."
    )
    thresholds = serializers.SerializerMethodField()
    is_on = serializers.BooleanField()
    sources = serializers.SerializerMethodField()

    def get_thresholds(self, here) -> FieldRuleThresholdSerializer(many=True):
        names = ("name", "label", "unit", "least", "most", "default", "help")
        return [
            {name: getattr(step, name) for name in names} | {"value": here.thresholds[step.name]}
            for step in here.rule.thresholds
        ]

    def get_sources(self, here) -> list[str]:
        return [str(each) for each in here.rule.sources]


class FieldRuleGivenSerializer(serializers.Serializer):
    thresholds = serializers.DictField(
        required=False, help_text="By name; what is left out goes back to the rule's own value."
    )
    is_on = serializers.BooleanField(required=False, default=True)


class ProposalList(generics.GenericAPIView):
    @extend_schema(
        responses=ProposalSerializer(many=True),
        parameters=[
            OpenApiParameter("plot", int, many=True, description="Only of these plots, by id."),
            OpenApiParameter("state", str, enum=Proposal.State.values, description="Without it, open ones."),
        ],
    )
    def get(self, request, slug):
        """What rules propose."""
        property = property_for(request.user, slug)
        state = request.query_params.get("state") or Proposal.State.OPEN
        if state not in Proposal.State.values:
            accepted = ", ".join(Proposal.State.values)
            raise Refused(f"state is {state[:40]!r}; accepted are {accepted}.")
        rows = proposals_for(property).filter(state=state)
        if (plot_ids := plot_ids_asked(request.query_params)) is not None:
            rows = rows.filter(plot_id__in=plot_ids)
        return self.get_paginated_response(ProposalSerializer(self.paginate_queryset(rows), many=True).data)


class ProposalAccept(generics.GenericAPIView):
    @extend_schema(request=ProposalAcceptSerializer, responses=ProposalSerializer)
    def post(self, request, slug, proposal_id):
        """Put it on the work list, or note it for the next blend. 409 when somebody else has decided on it."""
        proposal = proposal_for(request.user, slug, proposal_id, EDIT)
        given = ProposalAcceptSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        accept_proposal(proposal=proposal, user=request.user, **given.validated_data)
        return _answer(request, slug, proposal_id)


class ProposalDismiss(generics.GenericAPIView):
    @extend_schema(request=ProposalDismissSerializer, responses=ProposalSerializer)
    def post(self, request, slug, proposal_id):
        """Say that nothing comes of it, and why."""
        proposal = proposal_for(request.user, slug, proposal_id, EDIT)
        given = ProposalDismissSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        dismiss_proposal(proposal=proposal, user=request.user, why=given.validated_data["why"])
        return _answer(request, slug, proposal_id)


class ProposalUndo(generics.GenericAPIView):
    @extend_schema(request=None, responses=ProposalSerializer)
    def post(self, request, slug, proposal_id):
        """Leave it to be decided again; 409 when somebody has worked on it."""
        undo_decision(proposal=proposal_for(request.user, slug, proposal_id, EDIT), user=request.user)
        return _answer(request, slug, proposal_id)


class RuleList(generics.GenericAPIView):
    @extend_schema(responses=FieldRuleSerializer(many=True))
    def get(self, request, slug):
        """Every rule with this property's thresholds."""
        rows = list(rules_of(property_for(request.user, slug).pk).values())
        return self.get_paginated_response(FieldRuleSerializer(self.paginate_queryset(rows), many=True).data)


class RuleDetail(generics.GenericAPIView):
    @extend_schema(responses=FieldRuleSerializer)
    def get(self, request, slug, rule_key):
        """One of them."""
        return Response(FieldRuleSerializer(rule_for(request.user, slug, rule_key)[1]).data)

    @extend_schema(request=FieldRuleGivenSerializer, responses=FieldRuleSerializer)
    def put(self, request, slug, rule_key):
        """Change its thresholds, or switch it off. Readings that are here already stay as they were considered."""
        property, here = rule_for(request.user, slug, rule_key, OWN)
        given = FieldRuleGivenSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        saved = save_rule(
            property=property,
            key=here.rule.key,
            user=request.user,
            thresholds=said.get("thresholds", {}),
            is_on=said["is_on"],
        )
        return Response(FieldRuleSerializer(saved).data)


def _answer(request, slug, proposal_id):
    return Response(ProposalSerializer(proposal_for(request.user, slug, proposal_id)).data)
