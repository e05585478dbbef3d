"""Queries and server time of every page at 10 plots and at 5,000.

    .venv/bin/pytest tests/bench/test_bench_pages.py --override-ini addopts= -s

The pages are read from the URLconf: a new one is measured as soon as its arguments are among `arguments`
below. The goals are the same number of queries for both sizes, 15 at most, and less than 300 ms.
"""

import json
from decimal import Decimal
from time import perf_counter

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver, reverse

from blends.models import Offer, OrderChoice, SeedOrder, Species, Supplier
from blends.services.blends import save_blend
from blends.services.orders import recompute_order
from blends.services.seasons import open_season
from plots.models import ApiToken, Job, Membership
from plots.queries import outlines_for
from plots.services.imports import receive_file
from tests.conftest import person
from tests.scenery import lay_out, plant

SIZES, ROUNDS, MOST_QUERIES, MOST_MS = (10, 5000), 3, 15, 300
FILES = {"order-file": ["csv", "json", "xlsx"]}
ONLY_POSTED = {"sign-out", "token-end", "species-override", "blend-figures"}
ELSEWHERE = {"api-schema", "welcome"}


def planted(property, user, size):
    """A property with every kind of row, and the arguments that lead to them."""
    plots = lay_out(property, size, columns=max(4, round(size**0.5)))
    species = list(Species.objects.filter(property=None)[:12])
    supplier = Supplier.objects.create(property=property, name="Co-op")
    blends = [blend_of(property, user, species[i:], i) for i in range(3)]
    past = open_season(property=property, year=2026, kind="cool")
    season = open_season(property=property, year=2027, kind="warm")
    plant(plots, past, blends, leave=0)
    plant(plots, season, blends, leave=size // 10)
    order, _ = SeedOrder.objects.get_or_create(season=season)
    for one in species:
        offer = Offer.objects.create(
            property=property, supplier=supplier, species=one, pack_lb=50, price_usd=Decimal("61.50")
        )
        OrderChoice.objects.create(order=order, species=one, offer=offer)
    recompute_order(order.pk)
    job = Job.objects.create(property=property, kind="measure", state=Job.State.DONE)
    outlines = json.dumps(outlines_for(property)).encode()
    found = receive_file(
        property=property, user=user, upload=SimpleUploadedFile("back_forty.geojson", outlines)
    )
    ApiToken.objects.create(user=user, name="sheet", token_sha256=f"{property.pk:064}")
    return {
        "slug": property.slug,
        "plot_id": plots[0].pk,
        "species_id": species[0].pk,
        "blend_id": blends[0].pk,
        "season": season.slug,
        "kind": "species",
        "item_id": species[0].pk,
        "offer_id": offer.pk,
        "import_id": found.pk,
        "job_id": job.pk,
    }


def blend_of(property, user, species, number):
    components = [
        {
            "species_id": one.pk,
            "drilled_pls_lb_per_acre": Decimal(k + 2),
            "broadcast_pls_lb_per_acre": Decimal(k + 3),
        }
        for k, one in enumerate(species[:8])
    ]
    return save_blend(
        property=property, user=user, name=f"Blend {number}", kind="mixed", components=components
    )


def pages(arguments):
    """(name, address) of every page that the URLconf has arguments for."""
    patterns = get_resolver().reverse_dict
    for name in sorted(key for key in patterns if isinstance(key, str)):
        wanted = patterns.getlist(name)[0][0][0][1]
        if name in ELSEWHERE | ONLY_POSTED or patterns.getlist(name)[0][1].startswith("api/"):
            continue
        for form in FILES.get(name, [None]):
            given = arguments | {"form": form}
            yield (
                name + (f".{form}" if form else ""),
                reverse(name, kwargs={key: given[key] for key in wanted}),
            )


def measure(client, address):
    """(status, queries, ms at best: other work on the machine only adds time)."""
    client.get(address)
    with CaptureQueriesContext(connection) as seen:
        status = client.get(address).status_code
        queries = len(seen)
    times_ms = []
    for _ in range(ROUNDS):
        start = perf_counter()
        client.get(address)
        times_ms.append((perf_counter() - start) * 1000)
    return status, queries, min(times_ms)


@pytest.mark.django_db
def test_pages_cost_the_same_at_10_plots_and_at_5000(client, farm, elsewhere):
    user = person("owner", farm, Membership.Role.OWNER)
    Membership.objects.create(user=user, property=elsewhere, role=Membership.Role.OWNER)
    client.force_login(user)
    small, large = (
        {name: measure(client, address) for name, address in pages(planted(property, user, size))}
        for property, size in zip((farm, elsewhere), SIZES, strict=True)
    )
    print(f"\n{'page':24}{'status':>8}{'queries at 10':>15}{'at 5,000':>10}{'ms at 10':>10}{'at 5,000':>10}")
    missed = []
    for name, (status, queries, ms) in small.items():
        _, more_queries, more_ms = large[name]
        good = queries == more_queries <= MOST_QUERIES and more_ms < MOST_MS
        print(
            f"{name:24}{status:8}{queries:15}{more_queries:10}{ms:10.0f}{more_ms:10.0f}{'' if good else '  missed'}"
        )
        if not good:
            missed.append(name)
    assert not missed
