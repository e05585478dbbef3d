"""Where a person starts, making a property, and its settings."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import EDIT, property_for
from plots.forms import PropertyForm, SettingsForm
from plots.queries import properties_with_totals
from plots.services.properties import create_property, update_property


@section("")
@require_safe
def home(request):
    properties = list(properties_with_totals(request.user))
    if len(properties) == 1:
        return redirect("overview", properties[0].slug)
    return render(request, "plots/home.html", {"properties": properties})


@section("")
@require_http_methods(["GET", "POST"])
def property_new(request):
    form = PropertyForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            property = create_property(user=request.user, name=form.cleaned_data["name"])
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"{property} is made. Bring in its plots next.")
            return redirect("import-new", property.slug)
    return render(request, "plots/property_new.html", {"form": form, "complaints": complaints(form)})


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def property_settings(request, slug):
    property = property_for(request.user, slug, EDIT)
    initial = {name: getattr(property, name) for name in SettingsForm.base_fields}
    form = SettingsForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            update_property(property=property, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
            property.refresh_from_db(fields=["name"])
        else:
            messages.success(request, f"The settings of {property} are saved.")
            return redirect("overview", slug)
    return render(
        request,
        "plots/property_settings.html",
        {"property": property, "form": form, "complaints": complaints(form)},
    )
