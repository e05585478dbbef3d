"""How often the pages of properties and imports ask the database."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.models import Membership
from plots.services.imports import accept_import, receive_file
from tests.plots.test_imports import geojson, square
from tests.scenery import lay_out

MOST_QUERIES = 15


def asked(client, address):
    with CaptureQueriesContext(connection) as found:
        assert client.get(address).status_code == 200
        return len(found)


def test_a_page_asks_once_what_the_person_may_do(
    client, farm, viewer, make_plot, django_assert_max_num_queries
):
    client.force_login(viewer)
    address = reverse("plot", args=[farm.slug, make_plot().pk])
    with django_assert_max_num_queries(MOST_QUERIES) as queries:
        client.get(address)
    assert sum("plots_membership" in query["sql"] for query in queries) == 1


def imported(farm, owner, count):
    """The import of a file with `count` outlines beside as many plots."""
    lay_out(farm, count)
    outlines = [(f"New {i}", square(-92 + 0.001 * i)) for i in range(count)]
    upload = SimpleUploadedFile("plots.geojson", geojson(*outlines).encode())
    return receive_file(property=farm, user=owner, upload=upload)


@pytest.mark.parametrize("route", ["import", "import-outlines"])
def test_the_preview_asks_no_more_for_more_outlines(client, farm, elsewhere, owner, route):
    Membership.objects.create(user=owner, property=elsewhere, role="owner")
    client.force_login(owner)
    small, large = imported(farm, owner, 10), imported(elsewhere, owner, 300)
    counts = [asked(client, reverse(route, args=[row.property.slug, row.pk])) for row in (small, large)]
    assert counts[0] == counts[1] <= MOST_QUERIES


def test_the_stored_import_asks_no_more_for_more_boundaries(client, farm, elsewhere, owner):
    Membership.objects.create(user=owner, property=elsewhere, role="owner")
    client.force_login(owner)
    counts = []
    for row in (imported(farm, owner, 10), imported(elsewhere, owner, 300)):
        accepted = [{"position": i, "name": f"N {i}"} for i in range(1, row.outlines.count() + 1)]
        accept_import(boundary_import=row, user=owner, accepted=accepted)
        counts.append(asked(client, reverse("import", args=[row.property.slug, row.pk])))
    assert counts[0] == counts[1] <= MOST_QUERIES
