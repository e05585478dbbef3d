"""The record of a plot's boundaries: any two compared, and an older one taken up again."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from blends.queries.moved import what_moved
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from config.templatetags.figures import moment
from fieldlog.forms.boundaries import RestoreForm
from plots.access import COSTS, EDIT, VIEW, id_in, plot_for
from plots.queries import record_of
from plots.record import comparison_of
from plots.services.boundaries import BoundaryChanged
from plots.services.restoring import restore_boundary


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def boundary_history(request, slug, plot_id):
    """`?first=1&second=2` chooses the two; without them the current one against the one before."""
    plot = plot_for(request.user, slug, plot_id, EDIT if request.method == "POST" else VIEW)
    form = RestoreForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _restored(request, plot, form):
        return redirect(f"{reverse('plot', args=[slug, plot.pk])}#moved")

    record = list(record_of(plot))
    first_id, second_id = _asked_for(request, plot, record)
    comparison = None
    if second_id is not None and first_id != second_id:
        comparison = comparison_of(plot, first_id, second_id)
        if comparison is None:
            raise Http404
    return render(
        request,
        "fieldlog/boundary_history.html",
        {
            "plot": plot,
            "property": plot.property,
            "record": record,
            "first_id": first_id,
            "second_id": second_id,
            "comparison": comparison,
            "older": [each for each in _pair(comparison) if each.pk != plot.boundary_id],
            "moved": _moved(plot, comparison),
            "outlines": _outlines_address(plot, first_id, second_id) if comparison else "",
            "form": form,
            "complaints": complaints(form),
            "shows_costs": COSTS in plot.property.allowed,
        },
        status=409 if getattr(form, "is_late", False) else 200,
    )


def _restored(request, plot, form):
    """Whether the boundary was taken up again; if not, the form says why."""
    wanted = form.cleaned_data
    boundary = get_object_or_404(plot.boundaries.all(), pk=_existing(wanted["boundary"]))
    try:
        restore_boundary(
            boundary=boundary, user=request.user, why=wanted["why"], replaces=_existing(wanted["replaces"])
        )
    except BoundaryChanged as error:
        form.is_late = True
        plot.refresh_from_db(fields=["boundary"])
        by = error.current.created_by.shown_name if error.current.created_by else "somebody"
        form.add_error(
            None,
            f"The boundary of {plot} was changed by {by} since you opened this page, and nothing was taken up again. "
            "Theirs is the first in the list now: look at it, then choose again.",
        )
        return False
    except SwardbookError as error:
        show_refusal(form, error)
        return False
    messages.success(
        request,
        f"{plot} has the boundary of {moment(boundary.created_at)} again. The one that held until now stays in the "
        "record, and can be taken up again the same way.",
    )
    return True


def _existing(number):
    """An id that no database could hold is none."""
    return id_in(str(number)) or 0


def _asked_for(request, plot, record):
    """The ids of the two boundaries to compare; (None, None) while there are not two.

    What could not be taken up again is shown against what holds now.
    """
    wanted = id_in(request.POST.get("boundary", ""))
    if wanted in {each.pk for each in record}:
        return wanted, plot.boundary_id
    if "first" in request.GET and "second" in request.GET:
        ids = [id_in(request.GET[name]) for name in ("first", "second")]
        if None in ids:
            raise Http404
        return ids
    ids = [each.pk for each in record]
    if plot.boundary_id not in ids or ids[-1] == plot.boundary_id:
        return None, None
    return ids[ids.index(plot.boundary_id) + 1], plot.boundary_id


def _pair(comparison):
    return [] if comparison is None else [comparison.first, comparison.second]


def _moved(plot, comparison):
    if comparison is None or comparison.second.pk != plot.boundary_id:
        return None
    return what_moved(plot, comparison.first, comparison.second)


def _outlines_address(plot, first_id, second_id):
    address = reverse("api-boundary-compare", args=[plot.property.slug, plot.pk])
    return f"{address}?first={first_id}&second={second_id}"
