"""Several who change plots of one property at once wait for one another in turn, and never in a ring."""

import threading

import pytest
from django.db import transaction
from django.test import Client
from shapely.geometry import MultiPolygon, Point, box

from config.errors import SwardbookError
from plots.models import Landmark
from plots.services.boundaries import set_boundary
from plots.services.landmarks import add_landmark
from plots.services.locking import lock_property
from plots.services.merging import merge_plots
from plots.services.plots import archive_plot, restore_plot, update_plot

SOON_S = 0.5  # for the other to reach the lock that it waits for


@pytest.fixture
def neighbours(farm, owner, make_plot):
    return [make_plot("Left"), make_plot("Right", lon=-91.999)]


@pytest.mark.parametrize("act", [archive_plot, restore_plot])
def test_a_plot_is_renamed_and_set_aside_while_another_merges(neighbours, owner, at_once, act):
    """Done in one transaction the first write of the plot would hold what the merging waits for."""
    left, right = neighbours
    if act is restore_plot:
        archive_plot(plot=right)
    is_renamed = threading.Event()

    def rename():
        with transaction.atomic():
            update_plot(plot=right, name="East", notes="", objective="")
            is_renamed.set()
            threading.Event().wait(SOON_S)
            act(plot=right)

    def merge():
        is_renamed.wait()
        return merge_plots(
            plot=left, others=[(right, right.boundary_id)], user=owner, replaces=left.boundary_id
        )

    outcomes = at_once(rename, merge)
    assert all(not isinstance(each, Exception) or isinstance(each, SwardbookError) for each in outcomes)
    right.refresh_from_db()
    assert right.name == "East"


def test_the_api_archives_while_another_draws(neighbours, farm, owner, at_once):
    _, right = neighbours
    client = Client()
    client.force_login(owner)
    address = f"/api/v1/properties/{farm.slug}/plots/{right.pk}/"

    def patch(number):
        return lambda: (
            client.patch(
                address,
                {"name": f"East {number}", "is_archived": number % 2 == 1},
                content_type="application/json",
            ).status_code
        )

    def draw(step):
        outline = MultiPolygon([box(-91.999, 38, -91.998 + step / 1e4, 38.001)])
        return lambda: set_boundary(plot=right, geometry=outline, user=owner, how="drawn").pk

    outcomes = at_once(*(make(number) for number in (1, 2, 3) for make in (patch, draw)))
    assert outcomes[::2] == [200] * 3
    assert right.boundaries.count() == 4


@pytest.mark.postgis
def test_what_merely_names_the_property_is_stored_meanwhile(neighbours, farm, owner, at_once):
    from django.db import connection

    if connection.vendor == "sqlite":
        pytest.skip("the database is SQLite, which lets nobody write beside another")
    is_held, is_stored = threading.Event(), threading.Event()

    def hold():
        with transaction.atomic():
            lock_property(farm.pk)
            is_held.set()
            return is_stored.wait(20)

    def store():
        is_held.wait()
        add_landmark(property=farm, user=owner, kind=Landmark.Kind.GATE, geometry=Point(-92, 38))
        is_stored.set()

    assert at_once(hold, store) == [True, None]
