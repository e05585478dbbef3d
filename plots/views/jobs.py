"""Watching work in the background."""

from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from config.pages import section
from plots.access import job_for


@section("plots")
@never_cache
@require_safe
def job(request, slug, job_id):
    """The page, or for htmx the part of it that changes."""
    row = job_for(request.user, slug, job_id)
    template = "plots/_job.html" if request.htmx else "plots/job.html"
    return render(request, template, {"job": row, "property": row.property})
