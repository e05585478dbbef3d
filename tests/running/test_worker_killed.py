"""kill -9 in the middle of a worker's work delays it and loses nothing."""

import json
from pathlib import Path

import numpy as np
import psutil
import pytest
from django.conf import settings
from pyproj import Geod
from shapely.geometry import shape

from plots.pictures.bounded import cut_tiles
from tests.plots.ground_pictures import ground, write
from tests.running.installation import kill_group, wait_for

pytestmark = pytest.mark.slow


@pytest.fixture
def installation(install):
    installation = install(SWARDBOOK_JOB_SILENT_SECONDS="2", SWARDBOOK_SWEEP_SECONDS="1")
    installation.scene("prepare")
    yield installation
    installation.close()


@pytest.fixture
def kill_in_the_middle(installation, tmp_path):
    """kill_in_the_middle(of): begin a worker and kill it with -9 while it is halfway."""

    def kill(of):
        halted = tmp_path / "halted"
        worker = installation.begin("tests/running/halting_worker.py", of, halted)
        wait_for(halted.exists, "The halt")
        kill_group(worker)

    return kill


def geodesic_acres():
    """The acres of the outlines' file by pyproj itself, on WGS84; 1 international acre = 4046.8564224 m²."""
    path = settings.BASE_DIR / "fixtures" / "demo" / "outlines.geojson"
    features = json.loads(path.read_text(encoding="utf-8"))["features"]
    area_m2 = Geod(ellps="WGS84").geometry_area_perimeter
    return {
        each["properties"]["name"]: abs(area_m2(shape(each["geometry"]))[0]) / 4046.8564224
        for each in features
    }


def test_measuring_that_was_cut_short_is_finished_by_the_next_worker(installation, kill_in_the_middle):
    assert installation.scene("bring_in_plots") == 14
    kill_in_the_middle("measuring")
    before = installation.scene("measured")
    assert (before["state"], before["steps_done"], len(before["acres"])) == ("running", 4, 4)

    installation.part("worker")
    installation.part("beat")
    after = wait_for(lambda: _finished(installation.scene("measured")), "The end of the measuring")
    assert after["steps_done"] == 14
    assert after["acres"] == pytest.approx(geodesic_acres(), rel=1e-9)
    assert before["acres"].items() <= after["acres"].items()


def _finished(job):
    return job["state"] == "done" and job


def test_an_order_that_was_cut_short_is_computed_by_the_next_worker(installation, kill_in_the_middle):
    before = installation.scene("plan")
    installation.scene("raise_overage")
    kill_in_the_middle("order")
    between = installation.scene("order_figures")
    assert between == before | {"is_stale": True}  # the old figures, whole, and marked

    installation.part("worker")
    after = wait_for(lambda: _fresh(installation.scene("order_figures")), "The order's figures")
    # 5 % overage has become 15 %: every line takes 1.15 / 1.05 of what it took, each of them once
    expected = {item: pounds * 1.15 / 1.05 for item, pounds in before["needed_lb"].items()}
    assert after["needed_lb"] == pytest.approx(expected)
    assert after["planting_cents"] == after["bought_cents"]


def _fresh(order):
    return not order["is_stale"] and order


def test_a_picture_that_was_cut_short_is_cut_to_its_end_and_shown_only_then(
    installation, kill_in_the_middle, tmp_path
):
    picture = write(tmp_path / "flight.tif", np.stack([ground(1600, 1200)] * 3))
    tiles = installation.scene("bring_in_a_picture", path=str(picture))
    kill_in_the_middle("picture")
    wait_for(lambda: not _cutting_processes(installation), "The end of the process that cuts")
    before = installation.scene("cut_so_far")
    assert (before["job"], before["picture"], before["tiles"]) == ("running", "cutting", [])
    assert 0 < before["draft"] < tiles

    installation.part("worker")
    installation.part("beat")
    after = wait_for(lambda: _cut(installation.scene("cut_so_far")), "The end of the cutting")
    assert (after["job"], after["draft"]) == ("done", 0)
    afresh = cut_tiles(picture, into=tmp_path / "tiles")
    whole = sorted(str(each.relative_to(tmp_path)) for each in (tmp_path / "tiles").rglob("*.webp"))
    assert after["tiles"] == whole
    assert afresh["tiles"] == tiles


def _cut(picture):
    return picture["picture"] == "ready" and picture["job"] == "done" and picture


def _cutting_processes(installation):
    """A killed worker has no hand left to end what it began; it has to end by itself."""
    found = []
    for process in psutil.process_iter(["cmdline"]):
        line = process.info["cmdline"] or [""]
        request = Path(line[-1], "request.json")
        if "plots.pictures.child" in line and request.exists():
            found += [process] if str(installation.folder) in request.read_text("utf-8") else []
    return found


def test_a_message_that_was_lost_is_made_up_for(installation):
    installation.scene("bring_in_plots")
    installation.lose_messages()
    installation.part("worker")
    installation.part("beat")
    wait_for(lambda: _finished(installation.scene("measured")), "The end of the measuring")
