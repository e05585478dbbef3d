"""What can hurt at this work, and who is out alone."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from config.pages import section
from fieldlog.models import CheckIn
from fieldlog.queries.check_ins import check_ins_of, out_now
from fieldlog.safety import CAUTIONS
from fieldlog.services.check_ins import end_check_in
from plots.access import RECORD, property_for, row_for

CHECK_INS_A_PAGE = 20


@section("work")
@require_safe
def safety(request, slug):
    property = property_for(request.user, slug)
    ended = check_ins_of(property).filter(ended_at__isnull=False)
    return render(
        request,
        "fieldlog/safety.html",
        {
            "property": property,
            "out": out_now(property),
            "page": Paginator(ended, CHECK_INS_A_PAGE).get_page(request.GET.get("page")),
            "cautions": CAUTIONS,
        },
    )


@section("work")
@require_POST
def check_in_end(request, slug, check_in_id):
    """Somebody is back, and somebody here says so."""
    check_in = row_for(request.user, slug, CheckIn.objects.select_related("user"), RECORD, pk=check_in_id)
    end_check_in(check_in=check_in, user=request.user)
    messages.success(request, f"{check_in.user.shown_name} is back.")
    return redirect("safety", slug)
