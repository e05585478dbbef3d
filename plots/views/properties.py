"""Where a person starts, and making a property."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.forms import PropertyForm
from plots.queries import properties_with_totals
from plots.services.properties import create_property


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
