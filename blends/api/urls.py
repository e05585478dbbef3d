"""Addresses of the API for species, blends, seasons and orders, below /api/v1/."""

from django.urls import include, path, register_converter
from django.urls.converters import StringConverter

from blends.api import blends, orders, seasons, species


class ItemKind(StringConverter):
    """What a line of an order is for."""

    regex = "species|blend"


register_converter(ItemKind, "item_kind")

_ORDER = [
    path("", orders.Order.as_view(), name="api-order"),
    path("choices/", orders.Choices.as_view(), name="api-order-choices"),
    path("<item_kind:kind>/<int:item_id>/", orders.OrderItem.as_view(), name="api-order-item"),
]
_SEASON = [
    path("", seasons.SeasonDetail.as_view(), name="api-season"),
    path("plantings/", seasons.Plantings.as_view(), name="api-plantings"),
    path("plantings/<int:plot_id>/", seasons.PlantedPlot.as_view(), name="api-planting"),
    path("copy/", seasons.CopySeason.as_view(), name="api-season-copy"),
    path("order/", include(_ORDER)),
]
_PROPERTY = [
    path("species/", species.SpeciesList.as_view(), name="api-species-list"),
    path("species/<int:species_id>/", species.SpeciesDetail.as_view(), name="api-species"),
    path("species/<int:species_id>/overrides/", species.Overrides.as_view(), name="api-overrides"),
    path(
        "species/<int:species_id>/overrides/<int:override_id>/",
        species.OverrideDetail.as_view(),
        name="api-override",
    ),
    path("blends/", blends.BlendList.as_view(), name="api-blends"),
    path("blends/figures/", blends.DraftFigures.as_view(), name="api-draft-figures"),
    path("blends/<int:blend_id>/", blends.BlendDetail.as_view(), name="api-blend"),
    path("blends/<int:blend_id>/figures/", blends.StoredFigures.as_view(), name="api-blend-figures"),
    path("seasons/", seasons.SeasonList.as_view(), name="api-seasons"),
    path("seasons/<slug:season>/", include(_SEASON)),
    path("suppliers/", orders.Suppliers.as_view(), name="api-suppliers"),
    path("offers/", orders.Offers.as_view(), name="api-offers"),
    path("offers/<int:offer_id>/", orders.OfferDetail.as_view(), name="api-offer"),
]

urlpatterns = [
    path("sources/", species.Sources.as_view(), name="api-sources"),
    path("properties/<slug:slug>/", include(_PROPERTY)),
]
