"""Addresses of the overview, plots, species, blends, seasons and orders."""

from django.urls import path

from blends.views import blends, offers, orders, overview, plots, seasons, species

urlpatterns = [
    # what shows several apps at once belongs to the highest of them
    path("p/<slug:slug>/", overview.overview, name="overview"),
    path("p/<slug:slug>/outlines.geojson", overview.outlines, name="overview-outlines"),
    path("p/<slug:slug>/plots/<int:plot_id>/", plots.plot, name="plot"),
    path("p/<slug:slug>/plots/<int:plot_id>/edit/", plots.plot_edit, name="plot-edit"),
    path("p/<slug:slug>/species/", species.species_list, name="species-list"),
    path("p/<slug:slug>/species/new/", species.species_new, name="species-new"),
    path("p/<slug:slug>/species/<int:species_id>/", species.species, name="species"),
    path(
        "p/<slug:slug>/species/<int:species_id>/override/", species.species_override, name="species-override"
    ),
    path("p/<slug:slug>/blends/", blends.blends, name="blends"),
    path("p/<slug:slug>/blends/new/", blends.blend_edit, name="blend-new"),
    path("p/<slug:slug>/blends/figures/", blends.figures, name="blend-figures"),
    path("p/<slug:slug>/blends/<int:blend_id>/", blends.blend, name="blend"),
    path("p/<slug:slug>/blends/<int:blend_id>/edit/", blends.blend_edit, name="blend-edit"),
    path("p/<slug:slug>/seasons/", seasons.seasons, name="seasons"),
    path("p/<slug:slug>/seasons/<slug:season>/", seasons.season, name="season"),
    path("p/<slug:slug>/seasons/<slug:season>/planted/", seasons.season_planted, name="season-planted"),
    path("p/<slug:slug>/orders/", orders.orders, name="orders"),
    path("p/<slug:slug>/seasons/<slug:season>/order/", orders.order, name="order"),
    path("p/<slug:slug>/seasons/<slug:season>/order/sheet/", orders.order_sheet, name="order-sheet"),
    path("p/<slug:slug>/seasons/<slug:season>/order.<str:form>", orders.order_file, name="order-file"),
    path(
        "p/<slug:slug>/seasons/<slug:season>/order/<str:kind>/<int:item_id>/",
        orders.order_line,
        name="order-line",
    ),
    path("p/<slug:slug>/offers/", offers.offers, name="offers"),
    path("p/<slug:slug>/offers/new/", offers.offer_new, name="offer-new"),
    path("p/<slug:slug>/offers/<int:offer_id>/", offers.offer_edit, name="offer-edit"),
]
