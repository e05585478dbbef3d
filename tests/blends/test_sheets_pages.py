"""The pages of planting day: the day, a sheet, the run, lots, and files."""

import csv
import io
import re
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from blends.models import Machine, Planting, PlantingLot
from blends.services.seasons import open_season, record_planted
from plots.models import Job
from tests.blends.pages import signed_in, words
from tests.blends.test_sheets import planting


@pytest.fixture
def at(farm, season, small_property):
    def at(route, *more):
        return reverse(route, args=[farm.slug, season.slug, *more])

    return at


def test_latest_season_is_where_planting_leads(owner, farm, season, at):
    answer = signed_in(owner).get(reverse("planting-latest", args=[farm.slug]))
    assert answer.url == at("planting-day")


def test_without_a_season_the_page_says_what_to_do(owner, farm):
    answer = signed_in(owner).get(reverse("planting-latest", args=[farm.slug]))
    assert "No season is planned yet." in words(answer)


def test_day_lists_what_is_still_to_plant(owner, season, at):
    record_planted(planting=planting(season, "North"), on=date(2026, 9, 1), acres="2")
    page = words(signed_in(owner).get(at("planting-day")))
    assert "South" in page
    assert "Creek" in page
    assert "North" not in page
    assert "planted 1 Sep 2026" in words(signed_in(owner).get(at("planting-day") + "?show=all"))


def test_lots_are_filled_from_stock_and_taken_off_again(owner, season, at, make_lot):
    make_lot("oats", "98", "90")
    client = signed_in(owner)
    page = words(client.post(at("planting-day"), {"act": "fill"}, follow=True))
    assert "2 plots got lots from stock." in page
    assert "lb of Crimson clover lack on 2 plots." in page
    assert PlantingLot.objects.count() == 2
    assert "Oats, lot oats-1" in page
    page = words(client.post(at("planting-day"), {"act": "clear"}, follow=True))
    assert "The lots are taken off 2 plots." in page
    assert not PlantingLot.objects.exists()


def test_ticked_plots_become_a_run(viewer, season, at):
    ids = [planting(season, name).plot_id for name in ("South", "North")]
    answer = signed_in(viewer).post(at("planting-day"), {"act": "run", "plot": ids})
    assert answer.url == f"{at('sheets')}?plot={ids[0]}&plot={ids[1]}"
    page = words(signed_in(viewer).get(answer.url))
    assert "Run of 2 plots" in page
    assert page.index("South") < page.index("North")


def test_run_without_ticks_is_told(viewer, at):
    assert "No plot is ticked" in words(signed_in(viewer).post(at("planting-day"), {"act": "run"}))


def test_order_of_the_run_is_changed_by_links(viewer, season, at):
    ids = [planting(season, name).plot_id for name in ("South", "North")]
    client = signed_in(viewer)
    page = client.get(f"{at('sheets')}?plot={ids[0]}&plot={ids[1]}").content.decode()
    [later] = re.findall(r'href="([^"]*)" aria-label="South later"', page)
    assert later.replace("&amp;", "&") == f"?plot={ids[1]}&plot={ids[0]}"


def test_sheet_says_what_goes_where(recorder, season, at, make_lot, farm):
    Machine.objects.create(
        property=farm, name="Old Green", openers=8, spacing_in=Decimal("7.5"), course_ft=150, main_box_ft3=8
    )
    here = planting(season, "North")
    PlantingLot.objects.create(planting=here, lot=make_lot("oats", "96", "75", treatment="Thiram"))
    page = words(signed_in(recorder).get(at("sheet", here.plot_id))).replace("\xa0", " ")
    assert "166.67 lb" in page
    assert "Treated: Oats, lot oats-1 (Thiram)." in page
    assert "a row" in page
    assert "from all 8" in page
    assert "No piles: clean up what spills." in page
    assert "$" not in page


def test_machine_that_is_not_there_is_said_and_the_sheet_stays(owner, season, at):
    here = planting(season, "North")
    page = words(signed_in(owner).get(at("sheet", here.plot_id) + "?machine=77&level=3"))
    assert "Machine “77” is not there" in page
    assert "accepted is 10 to 150 %" in page
    assert "Oats" in page


def test_lots_are_chosen_on_their_page(owner, season, at, make_lot):
    first, second = make_lot("oats", "98", "90"), make_lot("oats", "98", "80", lot_number="oats-2")
    here = planting(season, "North")
    client = signed_in(owner)
    typed = {"take": [first.pk, second.pk], f"lb_{first.pk}": "1,0.5", f"lb_{second.pk}": ""}
    page = client.post(at("sheet-lots", here.plot_id), typed)
    assert 'value="1,0.5"' in page.content.decode()
    assert not PlantingLot.objects.exists()
    answer = client.post(at("sheet-lots", here.plot_id), typed | {f"lb_{first.pk}": "40.5"})
    assert answer.url == at("sheet", here.plot_id)
    assert list(PlantingLot.objects.order_by("pk").values_list("lot", "lb")) == [
        (first.pk, Decimal("40.500")),
        (second.pk, None),
    ]


def test_two_lots_without_pounds_are_refused_at_the_second(owner, season, at, make_lot):
    first, second = make_lot("oats", "98", "90"), make_lot("oats", "98", "80", lot_number="oats-2")
    here = planting(season, "North")
    answer = signed_in(owner).post(at("sheet-lots", here.plot_id), {"take": [first.pk, second.pk]})
    assert "one lot of a kind brings the rest" in words(answer)
    assert f'id="id_lb_{second.pk}_error"' in answer.content.decode()


def test_recorder_sees_lots_and_cannot_choose(recorder, season, at, make_lot):
    make_lot("oats", "98", "90")
    here = planting(season, "North")
    page = signed_in(recorder).get(at("sheet-lots", here.plot_id)).content.decode()
    assert "Choose these lots" not in page
    assert "disabled" in page


def test_pounds_by_lot_as_files(recorder, season, at, make_lot):
    PlantingLot.objects.create(
        planting=planting(season, "North"), lot=make_lot("oats", "96", "75", treatment="=1+1")
    )
    client = signed_in(recorder)
    rows = list(csv.DictReader(io.StringIO(client.get(at("sheets-file", "csv")).content.decode("utf-8-sig"))))
    oats = next(row for row in rows if row["Plot"] == "North" and row["Seed"] == "Oats")
    assert (oats["Lot"], oats["Pounds (bulk lb)"], oats["Pure live seed is from"]) == (
        "oats-1",
        "166.67",
        "the lot",
    )
    assert not any("USD" in name for name in rows[0])
    book = load_workbook(io.BytesIO(client.get(at("sheets-file", "xlsx")).content))
    assert book.sheetnames == ["By lot", "By plot"]
    values = [cell.value for row in book["By lot"].iter_rows() for cell in row]
    assert "'=1+1" in values
    assert client.get(at("sheets-file", "doc")).status_code == 404


def test_sheets_as_pdf(recorder, at):
    answer = signed_in(recorder).get(at("sheets-file", "pdf"))
    assert answer.content.startswith(b"%PDF-")
    assert pages_of(answer.content) == 3


def pages_of(pdf):
    return len(re.findall(rb"/Type /Page\b(?!s)", pdf))


def test_pdf_is_made_in_the_background(
    recorder, season, at, django_capture_on_commit_callbacks, elsewhere, stranger
):
    client = signed_in(recorder)
    with django_capture_on_commit_callbacks(execute=True):
        answer = client.post(at("sheets-paper"))
    job = Job.objects.get()
    assert (job.kind, job.state, job.steps_done) == ("sheets", "done", 3)
    assert answer.url == at("sheets-made", job.pk)
    assert "The sheets are ready" in words(client.get(answer.url))
    file = client.get(answer.url + "?file=1")
    assert (file["Content-Type"], pages_of(file.content)) == ("application/pdf", 3)
    theirs = open_season(property=elsewhere, year=2027, kind="cool")
    address = reverse("sheets-made", args=[elsewhere.slug, theirs.slug, job.pk])
    assert signed_in(stranger).get(address + "?file=1").status_code == 404


def test_only_the_latest_files_are_kept(recorder, season, at, django_capture_on_commit_callbacks):
    client = signed_in(recorder)
    for _ in range(7):
        with django_capture_on_commit_callbacks(execute=True):
            client.post(at("sheets-paper"))
    oldest, newest = Job.objects.order_by("created_at").first(), Job.objects.order_by("created_at").last()
    assert "The file is gone" in words(client.get(at("sheets-made", oldest.pk)))
    assert client.get(at("sheets-made", oldest.pk) + "?file=1").status_code == 404
    assert "The sheets are ready" in words(client.get(at("sheets-made", newest.pk)))


def test_nothing_to_plant_makes_no_job(owner, farm, at):
    Planting.objects.update(is_fallow=True, blend=None)
    page = words(signed_in(owner).post(at("sheets-paper"), follow=True))
    assert "No plot of the season is waiting to be planted" in page
    assert not Job.objects.exists()


def test_pages_ask_no_more_for_more_plots(owner, season, at, make_plot, make_lot):
    grain, lot = planting(season, "North").blend, make_lot("oats", "98", "90")
    here = planting(season, "North").plot_id
    client = signed_in(owner)
    addresses = [at("planting-day"), at("sheet", here), at("sheets"), at("sheet-lots", here)]
    counts = []
    for first in (0, 20):
        for i in range(first, first + 20):
            row = Planting.objects.create(season=season, plot=make_plot(f"Plot {i}"), blend=grain)
            PlantingLot.objects.create(planting=row, lot=lot)
        found = []
        for address in addresses:
            with CaptureQueriesContext(connection) as asked:
                assert client.get(address).status_code == 200
            found.append(len(asked))
        counts.append(found)
    assert counts[0] == counts[1]
    assert max(counts[0]) <= 60


def test_who_receives_seed_finds_the_deliveries(recorder, farm, at):
    deliveries = f'href="{reverse("deliveries", args=[farm.slug])}"'
    for address in (at("planting-day"), reverse("stock", args=[farm.slug])):
        assert deliveries in signed_in(recorder).get(address).content.decode()


def test_season_and_plot_lead_to_planting_day(recorder, season, at):
    plot_id = planting(season, "South").plot_id
    page = signed_in(recorder).get(at("season")).content.decode()
    assert f'href="{at("planting-day")}"' in page
    page = signed_in(recorder).get(reverse("plot", args=[season.property.slug, plot_id])).content.decode()
    assert f'href="{at("sheet", plot_id)}"' in page
