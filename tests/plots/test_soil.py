"""Soil tests: recorded, corrected and struck out, from a form's figures or the API's; nothing is erased."""

import datetime
import json
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from config.errors import Refused
from plots.calc.soil_units import is_furrow_slice, lb_per_acre_to_ppm, ppm_to_lb_per_acre
from plots.models import SoilTest
from plots.services.soil import (
    correct_soil_test,
    record_soil_test,
    record_soil_tests,
    strike_soil_test,
    unstrike_soil_test,
)

SPRING = datetime.date(2026, 3, 12)
FOUND = {"sampled_on": SPRING, "depth_bottom_in": Decimal(6), "ph": Decimal("6.2"), "p_ppm": Decimal("22.5")}


@pytest.fixture
def plot(make_plot):
    return make_plot()


@pytest.fixture
def record(plot, manager):
    return lambda **values: record_soil_test(plot=plot, user=manager, **FOUND | values)


# --- the two units ------------------------------------------------------------------------------------------------


def test_sixty_pounds_an_acre_are_thirty_ppm():
    """ "What is an 'Acre Furrow Slice' of Soil?", Penn State Extension, no year, read in 2026: 'some labs multiply
    ppm values by 2 to come up with pounds per acre'. The same by hand: an acre of 43,560 ft² × 0.56 ft × 82.99 lb/ft³
    is 2,024,458 lb there, and 60 lb in 2,000,000 lb are 30 in a million."""
    assert lb_per_acre_to_ppm(60) == 60 / 2_000_000 * 1_000_000 == 30
    assert ppm_to_lb_per_acre(Decimal("22.75")) == Decimal("45.50")


def test_six_and_two_thirds_inches_of_an_acre_weigh_about_two_million_pounds():
    """The same publication: 43,560 ft² × 6.7/12 ft × 1.33 g/cm³ (82.99 lb/ft³) = 2,024,458 lb, 'rounded off'."""
    weight_lb = 43_560 * (20 / 3 / 12) * 82.99
    assert ppm_to_lb_per_acre(1) == pytest.approx(weight_lb / 1_000_000, rel=0.02)


@pytest.mark.parametrize(
    ("top", "bottom", "fits"),
    [(0, 6, True), (0, 7, True), (0, 8, True), (0, 4, False), (0, 12, False), (2, 8, False)],
)
def test_only_a_sample_of_the_furrow_slice_fits_two_pounds_to_the_ppm(top, bottom, fits):
    assert is_furrow_slice(top, bottom) is fits


# --- recording ----------------------------------------------------------------------------------------------------


def test_what_was_not_measured_stays_unknown(record):
    test = SoilTest.objects.get(pk=record(ph=Decimal("6.2"), p_ppm=None).pk)
    assert (test.ph, test.p_ppm, test.k_ppm, test.organic_matter_pct) == (Decimal("6.20"), None, None, None)
    assert test.depth_top_in == 0


@pytest.mark.parametrize(
    ("values", "field", "said"),
    [
        ({"ph": Decimal("14.2")}, "ph", "pH in water is 14.2; a figure from 2 to 12 is accepted."),
        ({"ph": Decimal("6.123")}, "ph", "pH in water is 6.123; a figure with at most 2 decimals is accepted."),
        ({"organic_matter_pct": 101}, "organic_matter_pct", "Organic matter is 101; a figure from 0 to 100 % is accepted."),
        ({"p_ppm": -1}, "p_ppm", "Phosphorus (P) is -1; a figure from 0 to 10000 ppm is accepted."),
        ({"k_ppm": Decimal("1E+400")}, "k_ppm", "Potassium (K) is 1E+400; a figure from 0 to 10000 ppm is accepted."),
        ({"cec_meq_per_100g": Decimal("NaN")}, "cec_meq_per_100g", "from 0 to 300 meq/100 g is accepted."),
        ({"depth_bottom_in": 90}, "depth_bottom_in", "The bottom of the sample is 90; a figure from 0.1 to 80 in is accepted."),
        ({"depth_top_in": 6}, "depth_bottom_in", "The sample reaches from 6 to 6 in deep; a bottom that lies deeper than"),
        ({"sampled_on": datetime.date(1491, 1, 1)}, "sampled_on", "The day of sampling is 1491-01-01; a day from 1900-01-01"),
        ({"ph": None, "p_ppm": None}, "", "No figure is given; at least one of pH, organic matter, P, K and CEC is needed."),
    ],
)  # fmt: skip
def test_figures_that_cannot_be_are_refused_with_what_is_accepted(record, values, field, said):
    with pytest.raises(Refused) as refused:
        record(**values)
    assert said in " ".join(refused.value.fields[field])
    assert not SoilTest.objects.exists()


def test_a_sample_of_tomorrow_is_refused(record):
    with pytest.raises(Refused, match="a day from 1900-01-01 to today"):
        record(sampled_on=timezone.localdate() + datetime.timedelta(days=1))


def test_a_report_is_stored_whole_or_not_at_all(make_plot, manager):
    good, bad = make_plot("Good"), make_plot("Bad")
    shared = {"sampled_on": SPRING, "depth_bottom_in": Decimal(6), "lab": "County lab"}
    with pytest.raises(Refused) as refused:
        record_soil_tests(user=manager, shared=shared, by_plot=[(good, {"ph": 6}), (bad, {"ph": 20})])
    assert refused.value.plot == bad
    assert not SoilTest.objects.exists()
    stored = record_soil_tests(user=manager, shared=shared, by_plot=[(good, {"ph": 6}), (bad, {"ph": 5})])
    assert [(test.plot, test.lab, test.ph) for test in stored] == [
        (good, "County lab", 6),
        (bad, "County lab", 5),
    ]


# --- correcting and striking out ----------------------------------------------------------------------------------


def test_a_correction_keeps_what_was_said_before(record, owner):
    test = record()
    correct_soil_test(test=test, user=owner, **FOUND | {"ph": Decimal("5.2"), "lab": "County lab"})
    test.refresh_from_db()
    assert (test.ph, test.lab, test.p_ppm) == (Decimal("5.20"), "County lab", Decimal("22.50"))
    [before] = test.earlier
    assert (before["by"], before["was"]) == (owner.shown_name, {"ph": "6.20", "lab": ""})


def test_a_correction_that_changes_nothing_leaves_no_trace(record, owner):
    test = record()
    correct_soil_test(test=test, user=owner, **FOUND | {"ph": Decimal("6.200")})
    assert SoilTest.objects.get(pk=test.pk).earlier == []


def test_a_refused_correction_changes_nothing(record, owner):
    test = record()
    with pytest.raises(Refused):
        correct_soil_test(test=test, user=owner, ph=Decimal(1))
    test.refresh_from_db()
    assert (test.ph, test.earlier) == (Decimal("6.20"), [])


def test_a_struck_test_is_kept_and_can_be_taken_up_again(record, owner):
    test = record()
    assert strike_soil_test(test=test, user=owner).is_struck
    assert strike_soil_test(test=test, user=owner).is_struck  # twice is once
    test = unstrike_soil_test(test=test, user=owner)
    assert not test.is_struck
    assert [each["was"] for each in test.earlier] == [{"is_struck": False}, {"is_struck": True}]


# --- the API ------------------------------------------------------------------------------------------------------


@pytest.fixture
def ask(farm):
    """ask(person, method, path, body) -> status and JSON, below the property."""

    def ask(person, method, path, body=None):
        client = Client()
        client.force_login(person)
        address = f"/api/v1/properties/{farm.slug}/{path}"
        answer = client.generic(method, address, json.dumps(body), "application/json")
        return answer.status_code, answer.json()

    return ask


POSTED = {"sampled_on": "2026-03-12", "depth_bottom_in": "6", "ph": "6.2"}


def test_figures_in_pounds_an_acre_are_kept_in_ppm_and_answered_in_both(ask, recorder, plot):
    status, test = ask(recorder, "POST", f"plots/{plot.pk}/soil-tests/", {**POSTED, "p_lb_per_acre": "45.5"})
    assert status == 201
    assert (Decimal(test["p_ppm"]), Decimal(test["p_lb_per_acre"])) == (Decimal("22.75"), Decimal("45.5"))
    assert (test["reported_in"], test["k_ppm"], test["k_lb_per_acre"]) == ("lb_per_acre", None, None)


def test_what_was_read_can_be_sent_back(ask, recorder, plot):
    _, test = ask(recorder, "POST", f"plots/{plot.pk}/soil-tests/", {**POSTED, "k_lb_per_acre": "301"})
    status, again = ask(recorder, "PATCH", f"soil-tests/{test['id']}/", test)
    assert (status, again) == (200, test)
    assert SoilTest.objects.get().earlier == []


def test_two_figures_that_contradict_each_other_are_refused(ask, recorder, plot):
    both = {**POSTED, "p_ppm": "22", "p_lb_per_acre": "45"}
    status, answer = ask(recorder, "POST", f"plots/{plot.pk}/soil-tests/", both)
    assert status == 400
    assert "P is 22 ppm and 45 lb/ac" in answer["error"]["message"]


def test_a_figure_out_of_range_is_said_with_what_is_accepted(ask, recorder, plot):
    status, answer = ask(recorder, "POST", f"plots/{plot.pk}/soil-tests/", {**POSTED, "ph": "62"})
    assert status == 400
    assert answer["error"]["fields"] == {"ph": ["pH in water is 62; a figure from 2 to 12 is accepted."]}


def test_a_test_is_struck_out_and_corrected_by_patch(ask, manager, record):
    test = record()
    status, answer = ask(manager, "PATCH", f"soil-tests/{test.pk}/", {"is_struck": True, "ph": "6.3"})
    assert (status, answer["is_struck"], Decimal(answer["ph"])) == (200, True, Decimal("6.3"))


def test_who_records_corrects_their_own_tests_and_nobody_elses(ask, recorder, plot, record):
    _, own = ask(recorder, "POST", f"plots/{plot.pk}/soil-tests/", POSTED)
    assert ask(recorder, "PATCH", f"soil-tests/{own['id']}/", {"ph": "6.4"})[0] == 200
    status, answer = ask(recorder, "PATCH", f"soil-tests/{record().pk}/", {"ph": "6.4"})
    assert status == 403
    assert "manager or the owner" in answer["error"]["message"]


def test_the_list_can_be_had_of_some_plots(ask, viewer, manager, make_plot):
    plots = [make_plot(name) for name in ("A", "B", "C")]
    for plot in plots:
        record_soil_test(plot=plot, user=manager, **FOUND)
    _, whole = ask(viewer, "GET", "soil-tests/")
    _, some = ask(viewer, "GET", f"soil-tests/?plot={plots[0].pk}&plot={plots[2].pk}")
    assert whole["count"] == 3
    assert {each["plot"] for each in some["results"]} == {"A", "C"}


def test_the_list_asks_no_more_for_more_tests(ask, viewer, manager, plot, record):
    record()
    with CaptureQueriesContext(connection) as few:
        assert len(ask(viewer, "GET", "soil-tests/")[1]["results"]) == 1
    for day in range(1, 25):
        record(sampled_on=datetime.date(2025, 5, day))
    with CaptureQueriesContext(connection) as many:
        assert len(ask(viewer, "GET", "soil-tests/")[1]["results"]) == 25
    assert len(many) == len(few)
