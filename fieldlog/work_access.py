"""The door of plots/access.py for work, proposals and rules."""

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404

from fieldlog.models import Proposal, WorkItem, WorkReport
from fieldlog.queries.work import with_reports, work_for
from fieldlog.services.rule_settings import rules_of
from plots.access import EDIT, RECORD, VIEW, property_for


def work_item_for(user, slug, item_id, may=VIEW):
    """One item with `.minutes` and `.told_reports`."""
    property = property_for(user, slug, may)
    item = get_object_or_404(with_reports(work_for(property)), pk=item_id)
    item.property = property
    return item


def work_report_for(user, slug, report_id, may=VIEW):
    property = property_for(user, slug, may)
    rows = WorkReport.objects.filter(item__property=property).select_related("item", "reported_by")
    report = get_object_or_404(rows.prefetch_related("photos"), pk=report_id)
    report.item.property = property
    return report


def proposal_for(user, slug, proposal_id, may=VIEW):
    property = property_for(user, slug, may)
    rows = Proposal.objects.filter(property=property)
    proposal = get_object_or_404(
        rows.select_related("plot", "reading__visit", "work_item", "decided_by"), pk=proposal_id
    )
    proposal.property = property
    return proposal


def rule_for(user, slug, key, may=VIEW):
    """The property, and one of its rules as it has it."""
    property = property_for(user, slug, may)
    here = rules_of(property.pk).get(key)
    if here is None:
        raise Http404
    return property, here


def may_change_work(user, property, item):
    """Whoever edits may, and who wrote it down what is theirs."""
    return EDIT in property.allowed or (RECORD in property.allowed and item.created_by_id == user.pk)


def check_may_change_work(user, property, item):
    """Let nobody else pass.

    Raises
    ------
    PermissionDenied
    """
    if not may_change_work(user, property, item):
        raise PermissionDenied(
            "Work that another person wrote down is changed by a manager or the owner; you can take it or report on it."
        )


def may_strike_report(user, property, report):
    return EDIT in property.allowed or (RECORD in property.allowed and report.reported_by_id == user.pk)


def check_may_strike(user, report):
    """Let nobody else pass.

    Raises
    ------
    PermissionDenied
    """
    if not may_strike_report(user, report.item.property, report):
        raise PermissionDenied("What another person reported is struck by a manager or the owner.")


def check_item_is_of(property, item_id):
    """Http404 where the id names work of another property; one that names none may be written down."""
    if WorkItem.objects.filter(pk=item_id).exclude(property=property).exists():
        raise Http404


def check_report_is_of(property, report_id):
    """The same of a report."""
    if WorkReport.objects.filter(pk=report_id).exclude(item__property=property).exists():
        raise Http404
