"""The door of plots/access.py for blends, seasons and what hangs on them."""

from django.db.models import Q
from django.http import Http404
from django.shortcuts import get_object_or_404

from blends.models import Blend, Offer, Season, SeedOrder, Species, Supplier
from plots.access import COSTS, VIEW, property_for, row_for


def species_rows(property):
    """The reference species and the property's own."""
    return Species.objects.filter(Q(property__isnull=True) | Q(property=property))


def species_for(user, slug, species_id, may=VIEW):
    """A reference species or one of the property's own, with the property it was asked for."""
    property = property_for(user, slug, may)
    return get_object_or_404(species_rows(property), pk=species_id), property


def blend_for(user, slug, blend_id, may=VIEW):
    return row_for(user, slug, Blend.objects.all(), may, pk=blend_id)


def season_for(user, slug, season_slug, may=VIEW):
    """The season named like 2027-warm, with its order."""
    year, _, kind = season_slug.partition("-")
    if not year.isdecimal():
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
