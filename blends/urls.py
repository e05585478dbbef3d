"""Addresses of the overview, plots, species, blends, seasons and orders."""

from django.urls import path

from blends.views import overview, plots
from plots.urls import pending

urlpatterns = [
    # what shows several apps at once belongs to the highest of them
    path("p/<slug:slug>/", overview.overview, name="overview"),
    path("p/<slug:slug>/outlines.geojson", overview.outlines, name="overview-outlines"),
    path("p/<slug:slug>/plots/<int:plot_id>/", plots.plot, name="plot"),
    path("p/<slug:slug>/plots/<int:plot_id>/edit/", plots.plot_edit, name="plot-edit"),
    path("p/<slug:slug>/species/", pending, name="species-list"),
    path("p/<slug:slug>/species/new/", pending, name="species-new"),
    path("p/<slug:slug>/species/<int:species_id>/", pending, name="species"),
    path("p/<slug:slug>/species/<int:species_id>/override/", pending, name="species-override"),
    path("p/<slug:slug>/blends/", pending, name="blends"),
    path("p/<slug:slug>/blends/new/", pending, name="blend-new"),
    path("p/<slug:slug>/blends/figures/", pending, name="blend-figures"),
    path("p/<slug:slug>/blends/<int:blend_id>/", pending, name="blend"),
    path("p/<slug:slug>/blends/<int:blend_id>/edit/", pending, name="blend-edit"),
    path("p/<slug:slug>/seasons/", pending, name="seasons"),
    path("p/<slug:slug>/seasons/<slug:season>/", pending, name="season"),
    path("p/<slug:slug>/orders/", pending, name="orders"),
    path("p/<slug:slug>/seasons/<slug:season>/order/", pending, name="order"),
    path("p/<slug:slug>/seasons/<slug:season>/order/sheet/", pending, name="order-sheet"),
    path("p/<slug:slug>/seasons/<slug:season>/order.<str:form>", pending, name="order-file"),
    path("p/<slug:slug>/seasons/<slug:season>/order/<str:kind>/<int:item_id>/", pending, name="order-line"),
    path("p/<slug:slug>/offers/", pending, name="offers"),
    path("p/<slug:slug>/offers/new/", pending, name="offer-new"),
    path("p/<slug:slug>/offers/<int:offer_id>/", pending, name="offer-edit"),
]
