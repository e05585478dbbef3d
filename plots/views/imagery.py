"""Pictures of the ground from another server: named by the owner, tried out on a map, taken back."""

from django.conf import settings
from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import EDIT, OWN, property_for
from plots.ground_forms import ImageryForm
from plots.imagery import EXAMPLES
from plots.services.imagery import FIELDS, set_imagery

_KEPT = "imagery_before"  # in the session, by property: what a press took away, to be put back


@section("plots")
@require_http_methods(["GET", "POST"])
def imagery(request, slug):
    """Posted, `act` is save, take (an example, by its key) or undo."""
    property = property_for(request.user, slug, OWN if request.method == "POST" else EDIT)
    now = _now(property)
    form = ImageryForm(initial=now, has_default=bool(settings.IMAGERY_URL))
    if request.method == "POST":
        act = request.POST.get("act")
        if act == "undo":
            return _undo(request, property)
        if act == "take":
            return _take(request, property)
        form = ImageryForm(request.POST, has_default=bool(settings.IMAGERY_URL))
        if form.is_valid():
            try:
                set_imagery(property=property, **form.cleaned_data)
            except SwardbookError as error:
                show_refusal(form, error)
                property.refresh_from_db(fields=FIELDS)
            else:
                return _saved(request, slug, now)
    facts = {
        "property": property,
        "form": form,
        "complaints": complaints(form),
        "examples": EXAMPLES,
        "before": request.session.get(_KEPT, {}).get(slug),
    }
    return render(request, "plots/imagery.html", facts)


def _now(property):
    return {name.removeprefix("imagery_"): getattr(property, name) for name in FIELDS}


def _saved(request, slug, before):
    request.session[_KEPT] = request.session.get(_KEPT, {}) | {slug: before}
    messages.success(request, "The pictures are set. Look at them on the map below.")
    return redirect("imagery", slug)


def _take(request, property):
    before = _now(property)
    for example in EXAMPLES:
        if example.key == request.POST.get("example"):
            set_imagery(
                property=property,
                kind=example.kind,
                address=example.address,
                credit=example.credit,
                zoom=example.zoom,
            )
            return _saved(request, property.slug, before)
    return redirect("imagery", property.slug)


def _undo(request, property):
    kept = request.session.get(_KEPT, {})
    before = kept.pop(property.slug, None)
    if before:
        set_imagery(property=property, **before)
        request.session[_KEPT] = kept
        messages.success(request, "The pictures are as they were before.")
    return redirect("imagery", property.slug)
