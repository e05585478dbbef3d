"""What visits ask for: the list, and one protocol as its owner changes it."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog.forms.protocols import NewProtocolForm, ProtocolForm
from fieldlog.kinds import KINDS
from fieldlog.queries.protocols import as_the_tool_has_it, protocol_of, protocols_of
from fieldlog.services.protocols import add_protocol, change_protocol, reset_protocol
from plots.access import OWN, property_for
from plots.models import Plot


@section("visits")
@require_safe
def protocols(request, slug):
    property = property_for(request.user, slug)
    rows = protocols_of(property)
    names = dict(Plot.objects.filter(property=property).values_list("pk", "name"))
    named = [(row, sorted(names[pk] for pk in row.plot_ids or ())) for row in rows]
    return render(
        request,
        "fieldlog/protocols.html",
        {"property": property, "rows": named, "new_form": NewProtocolForm()},
    )


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def protocol_edit(request, slug, key):
    """Change a protocol, or take it back to how the tool has it (`act=reset`)."""
    property = property_for(request.user, slug, OWN)
    now = protocol_of(property, key)
    if now is None:
        raise Http404
    if request.POST.get("act") == "reset" and not now.is_own:
        now = reset_protocol(property=property, user=request.user, key=key)
        messages.success(request, f"{now.name} is as the tool has it.")
        return redirect("protocol-edit", slug, key)
    return _form_page(request, property, now, lambda said: change_protocol(key=key, **said))


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def protocol_new(request, slug):
    """Add a protocol of the kind that the address names: `?kind=rain`."""
    property = property_for(request.user, slug, OWN)
    kind = KINDS.get(request.GET.get("kind", ""))
    if kind is None:
        return redirect("protocols", slug)
    now = as_the_tool_has_it(kind)
    return _form_page(request, property, now, lambda said: add_protocol(kind=kind.key, **said), is_new=True)


def _form_page(request, property, now, keep, is_new=False):
    plots = list(Plot.objects.filter(property=property, is_archived=False).order_by("name", "pk"))
    form = ProtocolForm(now, plots, request.POST if request.method == "POST" else None)
    if is_new:
        form.initial["name"] = f"{now.name} 2"
    if request.method == "POST" and form.is_valid():
        try:
            kept = keep({"property": property, "user": request.user, **form.said})
        except SwardbookError as error:
            show_refusal(form, error, names={**form.names, "plots": "plots"})
        else:
            messages.success(request, f"{kept.name} is kept. Phones have it when they next reach the server.")
            return redirect("protocols", property.slug)
    return render(
        request,
        "fieldlog/protocol_edit.html",
        {
            "property": property,
            "now": now,
            "is_new": is_new,
            "form": form,
            "complaints": complaints(form),
            "before": _before(now),
        },
    )


_WORDS = {"is_on": "asked for", "every_days": "due after", "on_all_plots": "on all plots"}
_FLAGS = {True: "yes", False: "no"}


def _before(now):
    """What the protocol said before, the latest first: when, who and [(words, value)]."""
    found, settings = [], now.settings
    for each in reversed(now.row.earlier if now.row else ()):
        said = {}
        for name, value in each["was"].items():
            if name == "settings":
                said |= _settings_said(now.kind, value, settings)
                settings = value
            else:
                said[_WORDS.get(name, name)] = _FLAGS.get(value, value)
        found.append({"at": parse_datetime(each["at"]), "by": each["by"], "was": list(said.items())})
    return found


def _settings_said(kind, before, after):
    """Those settings that another value came after, by their labels."""
    said = {}
    for setting in kind.settings:
        value = before.get(setting.name)
        if value != after.get(setting.name):
            label = next((each.label for each in setting.choices if each.value == value), value)
            said[setting.label.lower()] = _FLAGS[value] if isinstance(value, bool) else label
    return said
