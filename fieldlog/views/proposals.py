"""What rules propose, and the rules themselves."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.errors import SwardbookError, refuse
from config.pages import complaints, section, show_refusal
from fieldlog.forms.rules import RuleForm
from fieldlog.forms.work import people_of
from fieldlog.models import Proposal
from fieldlog.queries.proposals import noted_thoughts, open_proposals, proposals_for, thresholds_told, told
from fieldlog.services.proposals import accept_proposal, dismiss_proposal, undo_decision
from fieldlog.services.rule_settings import rules_of, save_rule
from fieldlog.work_access import proposal_for, rule_for
from plots.access import EDIT, OWN, id_in, property_for

DECIDED_SHOWN = 30


@section("work")
@require_safe
def proposals(request, slug):
    return _page(request, property_for(request.user, slug))


@section("work")
@require_POST
def proposal_decide(request, slug, proposal_id):
    proposal = proposal_for(request.user, slug, proposal_id, EDIT)
    try:
        messages.success(request, _decide(request, proposal))
        return redirect("proposals", slug)
    except SwardbookError as error:
        typed = {name: request.POST.get(name, "") for name in ("why", "due_on")}
        who = id_in(request.POST.get("who", ""))
        refused = {"id": proposal_id, "sentence": error.sentence, "who": who, **typed}
        return _page(request, proposal.property, refused)


def _page(request, property, refused=None):
    decided = proposals_for(property).exclude(state=Proposal.State.OPEN).order_by("-decided_at", "pk")
    return render(
        request,
        "fieldlog/proposals.html",
        {
            "property": property,
            "proposals": open_proposals(property),
            "decided": told(decided[:DECIDED_SHOWN]),
            "thoughts": noted_thoughts(property),
            "people": people_of(property),
            "refused": refused or {},
        },
    )


def _decide(request, proposal):
    act = request.POST.get("act")
    if act == "accept":
        accept_proposal(
            proposal=proposal,
            user=request.user,
            assigned_to_id=id_in(request.POST.get("who", "")),
            due_on=_day(request.POST.get("due_on", "")),
        )
        return "It is on the work list." if proposal.work_kind else "It is noted for the next blend."
    if act == "dismiss":
        dismiss_proposal(proposal=proposal, user=request.user, why=request.POST.get("why", ""))
        return "It is dismissed."
    if act == "undo":
        undo_decision(proposal=proposal, user=request.user)
        return "It is to be decided again."
    return refuse("act", "That is nothing that can be done with a proposal; accept, dismiss and undo are.")


def _day(text):
    """The day that was typed; None where nothing was."""
    try:
        day = parse_date(text.strip()) if text.strip() else None
    except ValueError:
        day = None
    if day is None and text.strip():
        refuse("due_on", f"“{text[:40]}” is not a day; such as 2026-11-20 is accepted.")
    return day


@section("work")
@require_safe
def rules(request, slug):
    property = property_for(request.user, slug)
    here = rules_of(property.pk).values()
    rows = [(each, thresholds_told(each.rule, each.thresholds)) for each in here]
    return render(request, "fieldlog/rules.html", {"property": property, "rules": rows})


@section("work")
@require_http_methods(["GET", "HEAD", "POST"])
def rule_edit(request, slug, rule_key):
    property, here = rule_for(request.user, slug, rule_key, OWN)
    form = RuleForm(here, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            save_rule(
                property=property,
                key=here.rule.key,
                user=request.user,
                thresholds=form.thresholds,
                is_on=form.cleaned_data["is_on"],
            )
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"“{here.rule.title}” is saved. It holds for readings from now on.")
            return redirect("rules", slug)
    return render(
        request,
        "fieldlog/rule_edit.html",
        {"property": property, "current": here, "form": form, "complaints": complaints(form)},
    )
