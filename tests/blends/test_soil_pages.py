"""The pages of soil tests: one entered and corrected, a report of several plots, the plot's own page, the file."""

import csv
import datetime
import io
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from blends.views.soil import PLOTS_A_REPORT
from plots.models import SoilTest
from plots.services.soil import record_soil_test, strike_soil_test
from tests.scenery import lay_out

TYPED = {"sampled_on": "2026-03-12", "depth_top_in": "0", "depth_bottom_in": "6", "reported_in": "ppm"}
MOST_QUERIES = 15


@pytest.fixture
def plot(make_plot):
    return make_plot()


@pytest.fixture
def record(plot, manager):
    def record(day="2026-03-12", **figures):
        found = {"ph": Decimal("6.2"), **figures}
        day = datetime.date.fromisoformat(day)
        depth_in = found.pop("depth_bottom_in", 6)
        return record_soil_test(plot=plot, user=manager, sampled_on=day, depth_bottom_in=depth_in, **found)

    return record


@pytest.fixture
def see(client, farm):
    def see(person, route, *args, query=""):
        client.force_login(person)
        response = client.get(reverse(route, args=[farm.slug, *args]) + query)
        assert response.status_code == 200
        return " ".join(response.content.decode().split())

    return see


@pytest.fixture
def post(client, farm):
    def post(person, route, *args, **body):
        client.force_login(person)
        return client.post(reverse(route, args=[farm.slug, *args]), body, follow=True)

    return post


def text_of(response):
    return " ".join(response.content.decode().split())


# --- one test -----------------------------------------------------------------------------------------------------


def test_a_test_in_pounds_an_acre_is_kept_in_ppm_and_shown_as_it_came(post, recorder, plot):
    page = text_of(
        post(recorder, "soil-new", plot.pk, **TYPED | {"reported_in": "lb_per_acre", "p": "45", "k": "1,301"})
    )
    test = SoilTest.objects.get()
    assert (test.p_ppm, test.k_ppm, test.ph, test.created_by) == (
        Decimal("22.5"),
        Decimal("650.5"),
        None,
        recorder,
    )
    assert "22.5" in page
    assert "45 lb/ac" in page
    assert "holds for soil 6⅔ in deep; this sample" not in page


def test_pounds_an_acre_of_another_depth_are_marked(post, recorder, plot):
    values = TYPED | {"depth_bottom_in": "12", "reported_in": "lb_per_acre", "p": "45"}
    page = text_of(post(recorder, "soil-new", plot.pk, **values))
    assert "this sample is 0–12 in" in page  # as it is stored
    assert "Marked with *" in page


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"ph": "62"}, "62 is not accepted; a number from 2 to 12 with at most 2 decimals is."),
        ({"p": "much"}, "much is not accepted; a number from 0 to 20000 with at most 2 decimals is."),
        ({"p": "20000"}, "Phosphorus (P) is 20000; a figure from 0 to 10000 ppm is accepted."),
        ({"ph": "6", "depth_bottom_in": ""}, "A number from 0.1 to 80 with at most 1 decimals is needed."),
        ({"ph": "6", "depth_top_in": "6"}, "a bottom that lies deeper than the top is accepted."),
        ({"ph": "6", "sampled_on": "2099-01-01"}, "The day of sampling is 2099-01-01"),
        ({"ph": "6", "sampled_on": "spring"}, "spring is not accepted; a day such as"),
        ({}, "No figure is given"),
    ],
)
def test_what_cannot_be_kept_is_said_and_nothing_typed_is_lost(post, recorder, plot, values, said):
    page = text_of(post(recorder, "soil-new", plot.pk, **TYPED | {"lab": "County lab"} | values))
    assert said in page
    assert 'value="County lab"' in page
    assert not SoilTest.objects.exists()


def test_a_correction_is_shown_with_what_was_said_before(post, see, manager, record):
    test = record(p_ppm=20, p_method="bray1")
    shown = see(manager, "soil-edit", test.pk)
    assert 'value="6.2"' in shown
    post(manager, "soil-edit", test.pk, **TYPED | {"ph": "5.2", "p": "20", "p_method": "mehlich3"})
    page = see(manager, "soil-edit", test.pk)
    assert "how P was extracted was <q>Bray P1</q>" in page
    assert "pH was <q>6.20</q>" in page


def test_saving_the_form_as_it_opened_changes_nothing(post, manager, plot, record):
    test = record(p_ppm=Decimal("22.75"), reported_in="lb_per_acre")
    page = post(
        manager, "soil-edit", test.pk, **TYPED | {"ph": "6.2", "p": "45.5", "reported_in": "lb_per_acre"}
    )
    assert page.redirect_chain
    test.refresh_from_db()
    assert (test.p_ppm, test.earlier) == (Decimal("22.75"), [])


def test_a_struck_test_stays_in_the_list_and_leaves_the_trend(post, see, manager, plot, record):
    record("2024-03-01", ph=Decimal("5.8"))
    wrong = record("2025-03-01", ph=Decimal("9.4"))
    record("2026-03-01", ph=Decimal("6.3"))
    post(manager, "soil-edit", wrong.pk, act="strike")
    page = see(manager, "soil-tests", plot.pk)
    assert "<s>9.4</s>" in page
    assert "from 5.8 on 1 Mar 2024 to 6.3 on 1 Mar 2026" in page
    post(manager, "soil-edit", wrong.pk, act="unstrike")
    assert "<s>9.4</s>" not in see(manager, "soil-tests", plot.pk)


def test_who_looks_sees_no_way_to_change(see, viewer, plot, record):
    test = record()
    page = see(viewer, "soil-tests", plot.pk)
    assert reverse("soil-edit", args=[plot.property.slug, test.pk]) not in page
    assert reverse("soil-new", args=[plot.property.slug, plot.pk]) not in page


def test_notes_and_laboratories_are_escaped(see, viewer, plot, record):
    record(lab="<i>Lab</i>", notes="<script>1</script>")
    page = see(viewer, "soil-tests", plot.pk)
    assert "<script>1" not in page
    assert "&lt;i&gt;Lab" in page


def test_no_page_recommends_lime_or_fertilizer(see, recorder, plot, record):
    record(ph=Decimal("4.8"), p_ppm=3)
    for route, args in (("soil-tests", [plot.pk]), ("soil-new", [plot.pk]), ("soil-report", [])):
        assert "No lime or fertilizer is recommended here" in see(recorder, route, *args)


# --- the plot's page ----------------------------------------------------------------------------------------------


def test_the_plots_page_has_the_latest_test_and_one_test_has_no_trend(see, viewer, plot, record):
    assert "None entered yet." in see(viewer, "plot", plot.pk)
    record(k_ppm=0)
    page = see(viewer, "plot", plot.pk)
    assert "pH&nbsp;6.2" in page
    assert "K&nbsp;0 ppm" in page  # measured, and not unknown
    assert "P&nbsp;" not in page
    assert "Soil tests over the years" not in page
    record("2024-03-12")
    assert "Soil tests over the years" in see(viewer, "plot", plot.pk)


def test_the_plots_page_says_when_all_are_struck(see, manager, plot, record):
    strike_soil_test(test=record(), user=manager)
    assert "All that were entered are struck out." in see(manager, "plot", plot.pk)


def test_pages_ask_no_more_for_more_tests(client, farm, manager, plot, record):
    client.force_login(manager)
    for route in ("plot", "soil-tests"):
        counts = []
        for _ in range(2):
            for day in range(10):
                record(f"2025-0{1 + len(counts)}-{10 + day}")
            with CaptureQueriesContext(connection) as found:
                client.get(reverse(route, args=[farm.slug, plot.pk]))
            counts.append(len(found))
        assert counts[0] == counts[1] <= MOST_QUERIES
        SoilTest.objects.all().delete()


# --- a report of several plots ------------------------------------------------------------------------------------


def test_a_report_is_kept_for_the_plots_whose_rows_are_filled(post, recorder, make_plot):
    first, second, third = (make_plot(name) for name in ("A", "B", "C"))
    rows = {f"plot-{first.pk}-ph": "6.1", f"plot-{third.pk}-k": "300", f"plot-{third.pk}-notes": "Wet."}
    page = post(recorder, "soil-report", **TYPED | {"lab": "County lab", "reported_in": "lb_per_acre"} | rows)
    assert "2 soil tests kept: A, C." in text_of(page)
    tests = {test.plot: test for test in SoilTest.objects.all()}
    assert set(tests) == {first, third}
    assert (tests[third].k_ppm, tests[third].notes, tests[third].lab) == (150, "Wet.", "County lab")
    assert second.soil_tests.count() == 0


def test_one_wrong_row_keeps_the_whole_report_out_and_is_named(post, recorder, make_plot):
    first, second = make_plot("A"), make_plot("B")
    rows = {f"plot-{first.pk}-ph": "6.1", f"plot-{second.pk}-ph": "61"}
    page = text_of(post(recorder, "soil-report", **TYPED | rows))
    assert "B pH in water</a>: 61 is not accepted" in page
    assert 'value="6.1"' in page
    rows[f"plot-{second.pk}-ph"] = ""
    rows[f"plot-{second.pk}-p"] = "15000"  # which only the service can tell from pounds an acre
    page = text_of(post(recorder, "soil-report", **TYPED | rows))
    assert "B Phosphorus, P</a>: Phosphorus (P) is 15000" in page
    assert not SoilTest.objects.exists()


def test_a_row_with_a_note_alone_is_asked_for_a_figure(post, recorder, plot):
    page = text_of(post(recorder, "soil-report", **TYPED | {f"plot-{plot.pk}-notes": "Lost in the mail"}))
    assert "No figure is given; at least one of pH" in page
    assert not SoilTest.objects.exists()


def test_an_empty_report_is_said(post, recorder, plot):
    assert "No plot has a figure yet; fill the row of at least one." in text_of(
        post(recorder, "soil-report", **TYPED)
    )


def test_another_propertys_plot_is_not_in_the_report(post, recorder, elsewhere, make_plot):
    make_plot("Ours")
    theirs = make_plot("Theirs", property=elsewhere)
    post(recorder, "soil-report", **TYPED | {f"plot-{theirs.pk}-ph": "6.1"})
    assert not SoilTest.objects.exists()


def test_a_large_property_is_entered_by_search(see, recorder, farm, client):
    lay_out(farm, PLOTS_A_REPORT + 20)
    page = see(recorder, "soil-report")
    assert "These are the first 100 by name." in page
    assert page.count('-ph"') >= PLOTS_A_REPORT
    with CaptureQueriesContext(connection) as found:
        client.get(reverse("soil-report", args=[farm.slug]))
    assert len(found) <= MOST_QUERIES
    some = see(recorder, "soil-report", query="?search=Plot 011")
    assert "Plot 0110" in some
    assert "Creek Bottom" not in some


# --- the file -----------------------------------------------------------------------------------------------------


def test_the_file_has_units_in_its_names_and_leaves_the_unknown_empty(
    client, viewer, manager, farm, plot, record
):
    strike_soil_test(test=record("2024-03-12", lab="=1+1", notes="two\nlines"), user=manager)
    record(p_ppm=Decimal("22.5"), p_method="mehlich3")
    client.force_login(viewer)
    answer = client.get(reverse("soil-file", args=[farm.slug]))
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    assert [row["sampled_on"] for row in rows] == ["2026-03-12", "2024-03-12"]
    latest, struck = rows
    assert (latest["plot"], latest["p_ppm"], latest["k_ppm"], latest["is_struck"]) == (
        plot.name,
        "22.50",
        "",
        "no",
    )
    assert (struck["lab"], struck["notes"], struck["is_struck"]) == ("'=1+1", "two\nlines", "yes")
    assert {"depth_bottom_in", "organic_matter_pct", "cec_meq_per_100g"} <= set(latest)
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_today_is_offered_as_the_day(see, recorder, plot):
    assert f'value="{timezone.localdate().isoformat()}"' in see(recorder, "soil-new", plot.pk)
