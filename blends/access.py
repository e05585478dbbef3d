"""The door of plots/access.py for blends, seasons and what hangs on them."""

from django.db.models import Count, Q
from django.http import Http404
from django.shortcuts import get_object_or_404

from blends.models import (
    Blend,
    InoculantLot,
    Lot,
    Machine,
    Offer,
    Planting,
    PlantingRecord,
    PriceList,
    PurchaseOrder,
    Receipt,
    Season,
    SeedOrder,
    Species,
    Supplier,
    Termination,
)
from plots.access import COSTS, EDIT, VIEW, property_for, row_for

_YEAR_LONGEST = 4  # digits


def species_rows(property):
    """The reference species and the property's own."""
    return Species.objects.filter(Q(property__isnull=True) | Q(property=property))


def species_for(user, slug, species_id, may=VIEW):
    """A reference species or one of the property's own, with the property it was asked for."""
    property = property_for(user, slug, may)
    return get_object_or_404(species_rows(property), pk=species_id), property


def blend_for(user, slug, blend_id, may=VIEW):
    return row_for(user, slug, Blend.objects.select_related("next", "previous"), may, pk=blend_id)


def blend_in_use_for(user, slug, blend_id, may=VIEW):
    """The blend with `planted_count` and `planned_count`: on how many plots it is planted, and planned."""
    planned, planted = (
        Q(plantings__state=Planting.State.PLANNED),
        Q(plantings__state__in=[Planting.State.DRILLED, Planting.State.UP, Planting.State.TERMINATED]),
    )
    rows = Blend.objects.select_related("next", "previous").annotate(
        planted_count=Count("plantings", filter=planted), planned_count=Count("plantings", filter=planned)
    )
    return row_for(user, slug, rows, may, pk=blend_id)


def clipping_for(user, slug, blend_id, clipping_id, may=VIEW):
    """A clipping of the blend."""
    blend = blend_for(user, slug, blend_id, may)
    clipping = get_object_or_404(blend.clippings.all(), pk=clipping_id)
    clipping.blend = blend
    return clipping


def season_for(user, slug, season_slug, may=VIEW):
    """The season named like 2027-warm, with its order."""
    year, _, kind = season_slug.partition("-")
    if not year.isdecimal() or len(year) > _YEAR_LONGEST:
        property_for(user, slug, may)
        raise Http404
    return row_for(user, slug, Season.objects.select_related("order"), may, year=int(year), kind=kind)


def order_for(user, slug, season_slug, may=COSTS):
    season = season_for(user, slug, season_slug, may)
    order = getattr(season, "order", None)
    if order is None:
        order, _ = SeedOrder.objects.get_or_create(season=season)
    order.season = season
    return order


def offer_for(user, slug, offer_id, may=COSTS):
    return row_for(user, slug, Offer.objects.select_related("supplier"), may, pk=offer_id)


def supplier_for(user, slug, supplier_id, may=COSTS):
    return row_for(user, slug, Supplier.objects.all(), may, pk=supplier_id)


def price_list_for(user, slug, list_id, may=EDIT):
    return row_for(user, slug, PriceList.objects.select_related("supplier"), may, pk=list_id)


def purchase_for(user, slug, number, may=COSTS):
    """A purchase order by its number."""
    rows = PurchaseOrder.objects.select_related("supplier", "order__season")
    return row_for(user, slug, rows, may, number=number)


def receipt_for(user, slug, receipt_id, may=VIEW):
    """A delivery. What it cost is shown to who may see costs alone."""
    rows = Receipt.objects.select_related(
        "supplier", "purchase__supplier", "purchase__order__season", "created_by"
    )
    return row_for(user, slug, rows, may, pk=receipt_id)


def plan_for(user, slug, season_slug, plan_id, may=COSTS):
    """A way to buy the season's order."""
    order = order_for(user, slug, season_slug, may)
    plan = get_object_or_404(order.plans.select_related("job"), pk=plan_id)
    plan.order = order
    return plan


def lot_for(user, slug, lot_id, may=VIEW):
    """A seed lot. What it cost is shown to who may see costs alone."""
    return row_for(user, slug, Lot.objects.select_related("species", "blend", "receipt"), may, pk=lot_id)


def inoculant_for(user, slug, inoculant_id, may=VIEW):
    return row_for(user, slug, InoculantLot.objects.all(), may, pk=inoculant_id)


def machine_for(user, slug, machine_id, may=VIEW):
    return row_for(user, slug, Machine.objects.all(), may, pk=machine_id)


def planting_for(user, slug, season_slug, plot_id, may=VIEW):
    """What a plot gets in a season, with its plot, boundary, blend and season."""
    season = season_for(user, slug, season_slug, may)
    rows = season.plantings.select_related("plot__boundary", "blend")
    planting = get_object_or_404(rows, plot=plot_id)
    planting.season = season
    planting.plot.property = season.property
    return planting


def record_for(user, slug, record_id, may=VIEW):
    """A planting record, corrected ones too."""
    return _of_planting(user, slug, PlantingRecord, record_id, may)


def termination_for(user, slug, termination_id, may=VIEW):
    return _of_planting(user, slug, Termination, termination_id, may)


def _of_planting(user, slug, model, row_id, may):
    property = property_for(user, slug, may)
    rows = model.objects.select_related("planting__plot", "planting__season", "planting__blend", "created_by")
    row = get_object_or_404(rows, pk=row_id, planting__plot__property=property)
    row.planting.plot.property = row.planting.season.property = property
    return row
