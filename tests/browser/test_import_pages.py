"""Sign-in, account, import and job pages in a real browser."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from plots.models import Job
from plots.services.imports import receive_file
from plots.services.people import first_owner_link
from plots.views import preview
from tests.plots.test_imports import geojson, square, wkt_csv

pytestmark = pytest.mark.django_db(transaction=True)

TWO = geojson(("North Bench", square()), ("Creek Bottom", square(-91.998)))
RING_M = "POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200100, 500000 4200000))"


def received(farm, owner, text, name="plots.geojson"):
    return receive_file(property=farm, user=owner, upload=SimpleUploadedFile(name, text.encode()))


def test_a_person_brings_in_a_file_and_sees_it_measured(browse, farm, manager, tmp_path):
    file = tmp_path / "plots.geojson"
    file.write_text(TWO)
    page = browse(manager, "phone")
    page.goto("/p/tally-hollow/import/")
    page.set_input_files("#id_file", str(file))
    page.click("text=Read the file")
    page.wait_for_selector("[data-map][data-ready=true]")
    page.fill("#name-1", "North Slope")
    page.click("text=Store the chosen outlines")
    page.wait_for_selector("h1:has-text('Measured')")
    assert set(farm.plots.values_list("name", flat=True)) == {"North Slope", "Creek Bottom"}


def test_the_boxes_are_ticked_and_cleared_together(browse, farm, owner, manager):
    row = received(farm, owner, TWO)
    page = browse(manager)
    page.goto(f"/p/tally-hollow/imports/{row.pk}/")
    page.click("text=Choose none")
    assert page.locator("table.outlines input[type=checkbox]:checked").count() == 0
    page.click("text=Choose all")
    assert page.locator("table.outlines input[type=checkbox]:checked").count() == 2


def test_what_is_typed_is_kept_from_page_to_page(
    browse, assert_accessible, farm, owner, manager, monkeypatch
):
    monkeypatch.setattr(preview, "OUTLINES_A_PAGE", 1)
    row = received(farm, owner, TWO)
    page = browse(manager, "phone")
    page.goto(f"/p/tally-hollow/imports/{row.pk}/")
    page.wait_for_selector("[data-map][data-ready=true]")
    assert_accessible(page)
    page.fill("#name-1", "North Slope")
    page.press("#name-1", "Enter")
    page.click("text=Keep, next outlines")
    page.fill("#name-2", "Pond")
    page.click("text=Store the chosen of all pages")
    page.wait_for_selector("h1:has-text('Measured')")
    assert set(farm.plots.values_list("name", flat=True)) == {"North Slope", "Pond"}


def test_the_job_page_follows_the_job_by_itself(browse, farm, manager):
    job = Job.objects.create(property=farm, kind="measure", steps_total=4, state="running", steps_done=1)
    page = browse(manager)
    page.goto(f"/p/tally-hollow/jobs/{job.pk}/")
    Job.objects.update(steps_done=3)
    page.wait_for_selector("text=3 of 4 boundaries")
    Job.objects.update(state="done", steps_done=4)
    page.wait_for_selector("h1:has-text('Measured')")


@pytest.mark.parametrize(("screen", "scheme"), [("phone", "light"), ("desktop", "dark")])
def test_pages_are_accessible_and_fit_the_screen(
    browse, assert_accessible, farm, owner, make_plot, screen, scheme
):
    make_plot("North Bench")
    addresses = ["/account/", "/properties/new/", "/p/tally-hollow/import/"]
    for text, name in (
        (TWO, "plots.geojson"),
        (wkt_csv(("A", RING_M)), "plots.csv"),
        ("no map", "plots.kml"),
    ):
        addresses.append(f"/p/tally-hollow/imports/{received(farm, owner, text, name).pk}/")
    job = Job.objects.create(property=farm, kind="measure", steps_total=4, state="running", steps_done=1)
    addresses.append(f"/p/tally-hollow/jobs/{job.pk}/")
    page = browse(owner, screen, color_scheme=scheme)
    for address in addresses:
        page.goto(address)
        page.wait_for_load_state("networkidle")
        assert_accessible(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address


def test_the_first_pages_are_accessible(browse, assert_accessible):
    link = f"/welcome/{first_owner_link()}/"
    page = browse(None, "phone")
    for address in ("/sign-in/", link):
        page.goto(address)
        assert_accessible(page)
    page.click("button.main")
    assert page.locator(".error-summary").is_visible()
    assert_accessible(page)
