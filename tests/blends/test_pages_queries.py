"""Every page asks the database as often for three hundred plots as for ten, and at most fifteen times."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from blends.models import Blend, Offer, Planting, SeedOrder
from blends.services.orders import recompute_order
from tests.blends.pages import signed_in, words
from tests.scenery import lay_out

MOST_QUERIES = (
    20  # an order's line reads its lots, price breaks, substitutions and the way that was taken too
)


@pytest.fixture
def addresses(farm, season, small_property, species):
    grain, bag = Blend.objects.get(name="Grain"), Blend.objects.get(name="Bag")
    oats = species("oats").pk
    return [
        reverse("species-list", args=[farm.slug]),
        reverse("species-new", args=[farm.slug]),
        reverse("species", args=[farm.slug, oats]),
        reverse("species-override", args=[farm.slug, oats]) + "?field=seeds_per_lb",
        reverse("blends", args=[farm.slug]),
        reverse("blend-new", args=[farm.slug]),
        reverse("blend", args=[farm.slug, grain.pk]),
        reverse("blend", args=[farm.slug, bag.pk]),
        reverse("blend-edit", args=[farm.slug, grain.pk]),
        reverse("blend-edit", args=[farm.slug, bag.pk]),
        reverse("seasons", args=[farm.slug]),
        reverse("season", args=[farm.slug, season.slug]),
        reverse("season", args=[farm.slug, season.slug]) + "?show=undecided&q=plot",
        reverse("season-planted", args=[farm.slug, season.slug]),
        reverse("order", args=[farm.slug, season.slug]),
        reverse("order-sheet", args=[farm.slug, season.slug]),
        reverse("order-line", args=[farm.slug, season.slug, "species", oats]),
        reverse("order-line", args=[farm.slug, season.slug, "blend", bag.pk]),
        reverse("offers", args=[farm.slug]),
        reverse("offer-new", args=[farm.slug]),
        reverse("offer-edit", args=[farm.slug, Offer.objects.first().pk]),
    ]


def asked(client, address):
    with CaptureQueriesContext(
        connection,
    ) as found:
        assert client.get(address).status_code == 200
    return len(found)


def test_pages_ask_no_more_for_more_plots(owner, farm, season, addresses):
    client = signed_in(owner)
    lay_out(farm, 10)
    before = {address: asked(client, address) for address in addresses}
    grain = Blend.objects.get(name="Grain")
    plots = lay_out(farm, 300, first=10)
    Planting.objects.bulk_create(Planting(season=season, plot=plot, blend=grain) for plot in plots[:250])
    SeedOrder.objects.update(inputs_version=50)
    recompute_order(season.order.pk)
    after = {address: asked(client, address) for address in addresses}
    assert {
        address: count for address, count in after.items() if count > min(before[address], MOST_QUERIES)
    } == {}


def test_a_stopped_order_asks_no_more_for_more_plots_without_acres(
    owner, farm, season, small_property, species
):
    client = signed_in(owner)
    address = reverse("order-line", args=[farm.slug, season.slug, "species", species("oats").pk])
    grain = Blend.objects.get(name="Grain")
    counts = []
    for first, count in ((0, 10), (10, 1200)):
        plots = lay_out(farm, count, first=first, measured=False)
        Planting.objects.bulk_create(Planting(season=season, plot=plot, blend=grain) for plot in plots)
        SeedOrder.objects.update(inputs_version=50 + first)
        recompute_order(season.order.pk)
        counts.append(asked(client, address))
    assert counts[0] == counts[1] <= MOST_QUERIES
    problems = SeedOrder.objects.get(season=season).problems
    assert len(problems) == 1210
    assert words(client.get(address)).count("has no acreage") == 100
