"""The map on which a plot's boundary is drawn or corrected. What is drawn is stored through the API."""

import json

import shapely
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from config.pages import section
from plots.access import EDIT, plot_for, property_for
from plots.models import Boundary, Plot
from plots.queries import extent_of


@section("plots")
@require_safe
def boundary_draw(request, slug):
    """A new plot."""
    property = property_for(request.user, slug, EDIT)
    return _page(request, property, None)


@section("plots")
@require_safe
def boundary_edit(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id, EDIT)
    return _page(request, plot.property, plot)


def _page(request, property, plot):
    boundary = plot.boundary if plot else None
    return render(
        request,
        "plots/draw.html",
        {
            "property": property,
            "plot": plot,
            "boundary": boundary,
            "drawn": {
                "person": request.user.pk,
                "property": property.slug,
                "plot": plot and plot.pk,
                "boundary": boundary and boundary.pk,
                # Every digit: a corner in common with a neighbour, rounded on one side alone, would leave a sliver.
                "geometry": boundary and json.loads(shapely.to_geojson(boundary.geometry)),
                # The whole property's is asked for only where there is no outline to open the map on.
                "extent": None if boundary else extent_of(property),
                **_addresses(property, plot),
            },
            "name_length": Plot._meta.get_field("name").max_length,
            "why_length": Boundary._meta.get_field("why").max_length,
        },
    )


def _addresses(property, plot):
    """`after` is the page to go to when it is saved; of a new plot the id is not known yet and stands there as 0."""
    slug = property.slug
    return {
        "measure": reverse("api-measure", args=[slug]),
        "around": reverse("api-boundaries", args=[slug]),
        "save": reverse("api-boundary", args=[slug, plot.pk]) if plot else reverse("api-plots", args=[slug]),
        "after": reverse("plot", args=[slug, plot.pk if plot else 0]),
    }
