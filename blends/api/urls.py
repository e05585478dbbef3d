"""Addresses of the API for species, blends, seasons and orders, below /api/v1/."""

from django.urls import include, path, register_converter
from django.urls.converters import StringConverter

from blends.api import (
    blends,
    buying,
    clippings,
    fieldwork,
    judgement,
    machines,
    offers,
    orders,
    planting,
    price_lists,
    purchases,
    receiving,
    seasons,
    species,
    stock,
    terminations,
)


class ItemKind(StringConverter):
    """What a line of an order is for."""

    regex = "species|blend"


register_converter(ItemKind, "item_kind")

_ORDER = [
    path("", orders.Order.as_view(), name="api-order"),
    path("choices/", orders.Choices.as_view(), name="api-order-choices"),
    path("ways/", buying.Ways.as_view(), name="api-ways"),
    path("ways/own/", buying.OwnChoices.as_view(), name="api-ways-own"),
    path("ways/<int:plan_id>/", buying.Way.as_view(), name="api-way"),
    path("ways/<int:plan_id>/take/", buying.TakeWay.as_view(), name="api-way-take"),
    path("ways/<int:plan_id>/cancel/", buying.CancelWay.as_view(), name="api-way-cancel"),
    path("substitutions/", buying.Substitutions.as_view(), name="api-substitutions"),
    path("substitutions/<int:species_id>/", buying.SubstitutionDetail.as_view(), name="api-substitution"),
    path("<item_kind:kind>/<int:item_id>/", orders.OrderItem.as_view(), name="api-order-item"),
]
_PLANTING = [
    path("", planting.Sheets.as_view(), name="api-sheets"),
    path("runs/", planting.Runs.as_view(), name="api-runs"),
    path("stock/", planting.Balances.as_view(), name="api-sheets-stock"),
    path("fill/", planting.Fill.as_view(), name="api-sheets-fill"),
    path("clear/", planting.Clear.as_view(), name="api-sheets-clear"),
    path("<int:plot_id>/lots/", planting.PlantingLots.as_view(), name="api-sheet-lots"),
]
_SEASON = [
    path("", seasons.SeasonDetail.as_view(), name="api-season"),
    path("plantings/", seasons.Plantings.as_view(), name="api-plantings"),
    path("plantings/<int:plot_id>/", seasons.PlantedPlot.as_view(), name="api-planting"),
    path("sown/", terminations.Sown.as_view(), name="api-sown"),
    path("copy/", seasons.CopySeason.as_view(), name="api-season-copy"),
    path("planting/", include(_PLANTING)),
    path("order/", include(_ORDER)),
]
_MACHINE = [
    path("", machines.MachineDetail.as_view(), name="api-machine"),
    path("boxes/", machines.MachineBoxes.as_view(), name="api-machine-boxes"),
    path("calibrations/", machines.Calibrations.as_view(), name="api-calibrations"),
    path("calibrations/<int:calibration_id>/", machines.CalibrationDetail.as_view(), name="api-calibration"),
    path("settings/", machines.MachineSettings.as_view(), name="api-machine-settings"),
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
    path("blends/judgement/", judgement.DraftJudgement.as_view(), name="api-draft-judgement"),
    path("blends/compare/", judgement.Compare.as_view(), name="api-blends-compare"),
    path("blends/<int:blend_id>/", blends.BlendDetail.as_view(), name="api-blend"),
    path("blends/<int:blend_id>/figures/", blends.StoredFigures.as_view(), name="api-blend-figures"),
    path("blends/<int:blend_id>/judgement/", judgement.StoredJudgement.as_view(), name="api-blend-judgement"),
    path("blends/<int:blend_id>/clippings/", clippings.Clippings.as_view(), name="api-clippings"),
    path(
        "blends/<int:blend_id>/clippings/<int:clipping_id>/",
        clippings.ClippingDetail.as_view(),
        name="api-clipping",
    ),
    path("seasons/", seasons.SeasonList.as_view(), name="api-seasons"),
    path("seasons/<slug:season>/", include(_SEASON)),
    path("planting-records/", fieldwork.PlantingRecords.as_view(), name="api-planting-records"),
    path(
        "planting-records/<uuid:record_id>/",
        fieldwork.PlantingRecordDetail.as_view(),
        name="api-planting-record",
    ),
    path(
        "planting-records/<uuid:record_id>/strike/",
        fieldwork.PlantingRecordStrike.as_view(),
        name="api-planting-record-strike",
    ),
    path("machines/", machines.Machines.as_view(), name="api-machines"),
    path("machines/<int:machine_id>/", include(_MACHINE)),
    path("terminations/", terminations.Terminations.as_view(), name="api-terminations"),
    path(
        "terminations/<uuid:termination_id>/",
        terminations.TerminationDetail.as_view(),
        name="api-termination",
    ),
    path(
        "terminations/<uuid:termination_id>/strike/",
        terminations.TerminationStrike.as_view(),
        name="api-termination-strike",
    ),
    path(
        "terminations/<uuid:termination_id>/follow-up/",
        terminations.TerminationFollowUp.as_view(),
        name="api-termination-follow-up",
    ),
    path("restrictions/", terminations.Restrictions.as_view(), name="api-restrictions"),
    path("suppliers/", offers.Suppliers.as_view(), name="api-suppliers"),
    path("suppliers/<int:supplier_id>/", offers.SupplierDetail.as_view(), name="api-supplier"),
    path("offers/", offers.Offers.as_view(), name="api-offers"),
    path("offers/<int:offer_id>/", offers.OfferDetail.as_view(), name="api-offer"),
    path("price-lists/", price_lists.PriceLists.as_view(), name="api-price-lists"),
    path("price-lists/<int:list_id>/", price_lists.PriceListDetail.as_view(), name="api-price-list"),
    path(
        "price-lists/<int:list_id>/accept/",
        price_lists.PriceListAccept.as_view(),
        name="api-price-list-accept",
    ),
    path(
        "price-lists/<int:list_id>/take-back/",
        price_lists.PriceListTakeBack.as_view(),
        name="api-price-list-take-back",
    ),
    path("lots/", stock.Lots.as_view(), name="api-lots"),
    path("lots/counts/", stock.StockCounts.as_view(), name="api-stock-counts"),
    path("lots/<int:lot_id>/", stock.LotDetail.as_view(), name="api-lot"),
    path("lots/<int:lot_id>/photo/", stock.LotPhoto.as_view(), name="api-lot-photo"),
    path("lots/<int:lot_id>/entries/", stock.Entries.as_view(), name="api-lot-entries"),
    path(
        "lots/<int:lot_id>/entries/<int:entry_id>/take-back/",
        stock.TakeBack.as_view(),
        name="api-lot-take-back",
    ),
    path("lots/<int:lot_id>/tests/", stock.LotTests.as_view(), name="api-lot-tests"),
    path("lots/<int:lot_id>/tests/<int:lot_test_id>/", stock.LotTestDetail.as_view(), name="api-lot-test"),
    path("inoculants/", stock.Inoculants.as_view(), name="api-inoculants"),
    path("inoculants/<int:inoculant_id>/", stock.InoculantDetail.as_view(), name="api-inoculant"),
    path("purchases/", purchases.Purchases.as_view(), name="api-purchases"),
    path("purchases/<int:number>/", purchases.PurchaseDetail.as_view(), name="api-purchase"),
    path("purchases/<int:number>/send/", purchases.SendPurchase.as_view(), name="api-purchase-send"),
    path("purchases/<int:number>/unsend/", purchases.UnsendPurchase.as_view(), name="api-purchase-unsend"),
    path("purchases/<int:number>/close/", purchases.ClosePurchase.as_view(), name="api-purchase-close"),
    path("purchases/<int:number>/reopen/", purchases.ReopenPurchase.as_view(), name="api-purchase-reopen"),
    path("receipts/", receiving.Receipts.as_view(), name="api-receipts"),
    path("receipts/<int:receipt_id>/", receiving.ReceiptDetail.as_view(), name="api-receipt"),
    path("receipts/<int:receipt_id>/lots/", receiving.ReceiptLots.as_view(), name="api-receipt-lots"),
    path("receipts/<int:receipt_id>/undo/", receiving.UndoReceipt.as_view(), name="api-receipt-undo"),
]

urlpatterns = [
    path("sources/", species.Sources.as_view(), name="api-sources"),
    path("properties/<slug:slug>/", include(_PROPERTY)),
]
