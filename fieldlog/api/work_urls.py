"""Addresses under /api/v1/ of work, proposals and rules."""

from django.urls import path

from fieldlog.api import proposals, work

_ONE = "properties/<slug:slug>/"

urlpatterns = [
    path(f"{_ONE}work/", work.WorkList.as_view(), name="api-work"),
    path(f"{_ONE}work/minutes/", work.WorkMinutes.as_view(), name="api-work-minutes"),
    path(f"{_ONE}work/<uuid:work_id>/", work.WorkDetail.as_view(), name="api-work-item"),
    path(f"{_ONE}work-reports/<uuid:report_id>/", work.WorkReportDetail.as_view(), name="api-work-report"),
    path(
        f"{_ONE}work-reports/<uuid:report_id>/strike/",
        work.WorkReportStrike.as_view(),
        name="api-work-report-strike",
    ),
    path(f"{_ONE}proposals/", proposals.ProposalList.as_view(), name="api-proposals"),
    path(
        f"{_ONE}proposals/<int:proposal_id>/accept/",
        proposals.ProposalAccept.as_view(),
        name="api-proposal-accept",
    ),
    path(
        f"{_ONE}proposals/<int:proposal_id>/dismiss/",
        proposals.ProposalDismiss.as_view(),
        name="api-proposal-dismiss",
    ),
    path(
        f"{_ONE}proposals/<int:proposal_id>/undo/",
        proposals.ProposalUndo.as_view(),
        name="api-proposal-undo",
    ),
    path(f"{_ONE}rules/", proposals.RuleList.as_view(), name="api-rules"),
    path(f"{_ONE}rules/<slug:rule_key>/", proposals.RuleDetail.as_view(), name="api-rule"),
]
