"""Queries and server time of every page, and of every answer of the API, at 10 plots and at 5,000.

    .venv/bin/pytest tests/bench/test_bench_pages.py --override-ini addopts= -s

The routes are read from the URLconf: one that has no arguments here fails, so that a new page is measured from
its first day. The goals are no more queries for 5,000 plots than for 10, 15 at most, and less than 300 ms; a
file may take 2 s. On SQLite all work is done in this process, and its CPU time judges: other work on the machine
adds to the wall time alone.
"""

import json
from decimal import Decimal
from typing import NamedTuple

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from blends.models import Offer, OrderChoice, Species, Supplier
from blends.services.blends import save_blend
from blends.services.orders import recompute_order
from blends.services.seasons import open_season
from blends.services.species import override_value
from blends.services.stale import mark_stale
from fieldlog.calculations import calculations
from plots.models import ApiToken, Membership
from plots.queries import outlines_for
from plots.services.imports import accept_import, receive_file
from plots.services.jobs import run_job
from tests.bench.clock import Times, best_of, count_rows
from tests.conftest import person
from tests.scenery import lay_out, plant
from tests.test_isolation import ROUTES

SIZES, ROUNDS, MOST_QUERIES, MOST_MS = (10, 5000), 3, 15, 300
# A stored blend is judged with its clippings and its plots' past.
MOST_QUERIES_OF = {"blend": 17, "blend-edit": 17}
MOST_MS_OF_FILE = {f"order-file {form}": 2000 for form in ("csv", "xlsx")}

ONLY_POSTED = {"sign-out", "token-end", "blend-figures"} | {
    "api-clipping", "api-draft-figures", "api-draft-judgement", "api-import-accept", "api-override", "api-planting", "api-season-copy"
}  # fmt: skip
# A link that opens nothing once there is a person, and a description of the API that no property is in.
OF_NO_PROPERTY = {"welcome", "api-schema"}
# Routes that are opened in several ways: words to tell them apart, arguments, query.
WAYS = {
    "order-file": [(form, {"form": form}, "") for form in ("csv", "json", "xlsx")],
    "species-override": [("", {}, "?field=seeds_per_lb")],
    "overview": [("", {}, ""), ("found", {}, "?q=plot")],
    "blends-compare": [("", {}, "?blend={blend_ids[0]}&blend={blend_ids[1]}&blend={blend_ids[2]}")],
    "season": [("", {}, ""), ("undecided", {}, "?show=undecided")],
    "order": [("", {}, ""), ("page 2", {}, "?page=2")],
    "import": [
        ("", {}, ""),
        ("last page", {}, "?page=last"),
        ("of 4", {"import_id": "few_id"}, ""),
        ("stored", {"import_id": "stored_id"}, ""),
    ],
    "api-blends-compare": [("", {}, "?blend={blend_id}&blend={second_blend_id}")],
    "import-outlines": [("", {}, ""), ("of 4", {"import_id": "few_id"}, "")],
}


def planted(property, user, size):
    """A property with every kind of row, and the arguments that lead to them."""
    plots = lay_out(property, size, columns=max(4, round(size**0.5)))
    imports = imports_of(property, user)
    species = list(Species.objects.filter(property=None)[:12])
    override_value(property=property, species=species[0], user=user, field="seeds_per_lb", value="14000")
    blends = [blend_of(property, user, species[i:], i) for i in range(3)]
    past = open_season(property=property, year=2026, kind="cool")
    season = open_season(property=property, year=2027, kind="warm")
    plant(plots, past, blends, leave=0)
    plant(plots, season, blends, leave=size // 10)
    offer = offers_of(property, season.order, species)
    mark_stale([season.order.pk])
    recompute_order(season.order.pk)
    count_rows()
    ApiToken.objects.create(user=user, name="sheet", token_sha256=f"{property.pk:064}")
    return imports | {
        "slug": property.slug,
        "plot_id": plots[0].pk,
        "species_id": species[0].pk,
        "blend_id": blends[0].pk,
        "blend_ids": [blend.pk for blend in blends],
        "second_blend_id": blends[1].pk,
        "season": season.slug,
        "kind": "species",
        "item_id": species[0].pk,
        "offer_id": offer.pk,
        "calculation": calculations()[0].name,
    }


def imports_of(property, user):
    """A file with the outlines that the plots have already, one with four of them, and one that is stored."""
    whole = json.loads(outlines_for(property))
    stored = received(property, user, whole)
    plot_ids = [feature["id"] for feature in whole["features"]]
    accepted = [{"position": at, "name": "", "plot_id": pk} for at, pk in enumerate(plot_ids, start=1)]
    job = accept_import(boundary_import=stored, user=user, accepted=accepted, send=False)
    run_job(job.pk)
    few = received(property, user, whole | {"features": whole["features"][:4]})
    waiting = received(property, user, whole)
    return {"import_id": waiting.pk, "few_id": few.pk, "stored_id": stored.pk, "job_id": job.pk}


def received(property, user, collection):
    upload = SimpleUploadedFile("back_forty.geojson", json.dumps(collection).encode())
    return receive_file(property=property, user=user, upload=upload)


def offers_of(property, order, species):
    """An offer for each species, chosen; gives the last one."""
    supplier = Supplier.objects.create(property=property, name="Co-op")
    for one in species:
        offer = Offer.objects.create(
            property=property, supplier=supplier, species=one, pack_lb=50, price_usd=Decimal("61.50")
        )
        OrderChoice.objects.create(order=order, species=one, offer=offer)
    return offer


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


def addresses(arguments):
    """(what it is called here, its address) of every route, in every way."""
    for route in sorted(set(ROUTES) - ONLY_POSTED - OF_NO_PROPERTY):
        for words, given, query in WAYS.get(route, [("", {}, "")]):
            known = arguments | {name: arguments.get(value, value) for name, value in given.items()}
            kwargs = {name: known[name] for name in ROUTES[route] if name in known}
            unknown = ROUTES[route] - set(kwargs)
            assert not unknown, f"give {unknown} to measure the route {route}"
            yield f"{route} {words}".strip(), reverse(route, kwargs=kwargs) + query.format(**arguments)


class Cost(NamedTuple):
    status: int
    queries: int
    times: Times

    @property
    def judged_ms(self):
        return 1000 * (self.times.cpu_s if connection.vendor == "sqlite" else self.times.wall_s)


def cost(client, address):
    def get():
        answer = client.get(address, headers={"Accept-Encoding": "gzip"})
        return answer.status_code, bool(answer.getvalue())

    get()
    with CaptureQueriesContext(connection) as seen:
        status, _ = get()
        queries = len(seen)
    [times] = best_of(ROUNDS, get)
    return Cost(status, queries, times)


@pytest.mark.django_db
def test_pages_cost_the_same_at_10_plots_and_at_5000(client, farm, elsewhere):
    user = person("owner", farm, Membership.Role.OWNER)
    Membership.objects.create(user=user, property=elsewhere, role=Membership.Role.OWNER)
    client.force_login(user)
    small, large = (
        {name: cost(client, address) for name, address in addresses(planted(property, user, size))}
        for property, size in zip((farm, elsewhere), SIZES, strict=True)
    )
    print(f"\n{'on ' + connection.vendor:26}{'status':>7}{'queries':>14}{'wall ms':>16}{'CPU ms':>14}")
    missed = []
    for name, few in small.items():
        many = large[name]
        good = (
            few.status == many.status < 400
            and many.queries <= few.queries <= MOST_QUERIES_OF.get(name, MOST_QUERIES)
            and many.judged_ms < MOST_MS_OF_FILE.get(name, MOST_MS)
        )
        print(
            f"{name:26}{many.status:7}{few.queries:7}{many.queries:7}"
            f"{few.times.wall_s * 1000:9.0f}{many.times.wall_s * 1000:7.0f}"
            f"{few.times.cpu_s * 1000:7.0f}{many.times.cpu_s * 1000:7.0f}{'' if good else '  missed'}"
        )
        if not good:
            missed.append(name)
    assert not missed
