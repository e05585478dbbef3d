"""How a desktop GIS is connected to the property's maps."""

from urllib.parse import urlsplit

from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from blends.ogc.asking import public_origin
from blends.ogc.kinds import KINDS
from config.pages import section
from plots.access import property_for


@section("plots")
@require_safe
def gis(request, slug):
    property = property_for(request.user, slug)
    origin = public_origin(request)
    facts = {
        "property": property,
        "service": origin + reverse("ogc-landing"),
        "collections": [(f"{property.slug}-{kind.name}", kind) for kind in KINDS.values()],
        "is_this_machine_only": urlsplit(origin).hostname in ("localhost", "127.0.0.1", "::1"),
    }
    return render(request, "fieldlog/gis.html", facts)
