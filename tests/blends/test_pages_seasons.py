"""A season's page: what each plot gets, and what was planted."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from blends.models import Planting
from blends.services.seasons import assign, open_season, record_planted
from blends.views import seasons as views
from tests.blends.pages import signed_in, words


@pytest.fixture
def as_owner(owner):
    return signed_in(owner)


@pytest.fixture
def grain(make_mixed):
    return make_mixed("Grain", {"oats": ("60", "80")})


@pytest.fixture
def page(farm, season):
    return reverse("season", args=[farm.slug, season.slug])


@pytest.fixture
def record_page(farm, season):
    return reverse("season-planted", args=[farm.slug, season.slug])


def posted(*rows, **more):
    """What the form posts: rows of (plot, what it was, what it is to be)."""
    body = {"plot-TOTAL_FORMS": len(rows), "plot-INITIAL_FORMS": 0} | more
    for number, (plot, was, use) in enumerate(rows):
        at = f"plot-{number}-"
        was, use = (str(getattr(value, "pk", value)) for value in (was, use))
        body |= {f"{at}plot_id": plot.pk, f"{at}was": f"{was}/drilled"}
        body |= {f"{at}use": use, f"{at}method": "drilled"}
    return body


def given(season):
    return {
        row.plot.name: str(row.blend or "fallow") for row in season.plantings.select_related("plot", "blend")
    }


def test_list_offers_the_season_that_follows(as_owner, farm, season):
    response = as_owner.get(reverse("seasons", args=[farm.slug]))
    assert 'name="year" value="2028"' in response.content.decode()


def test_list_shows_the_latest_season_first(as_owner, farm, season):
    for year in (2025, 2026):
        open_season(property=farm, year=year, kind="warm")
    text = words(as_owner.get(reverse("seasons", args=[farm.slug])))
    assert text.index("Cool season 2027") < text.index("Warm season 2026") < text.index("Warm season 2025")


def test_season_is_opened(as_owner, farm):
    response = as_owner.post(
        reverse("seasons", args=[farm.slug]), {"year": "2031", "kind": "warm"}, follow=True
    )
    assert "Warm season 2031" in words(response)


def test_year_that_cannot_be_is_refused_in_words(as_owner, farm):
    response = as_owner.post(reverse("seasons", args=[farm.slug]), {"year": "31", "kind": "warm"})
    assert "A year from 1950 to 2150 is accepted." in words(response)


def test_season_without_plots_leads_to_the_import(as_owner, page):
    assert "Bring in plots" in words(as_owner.get(page))


def test_page_counts_what_is_undecided_and_what_a_blend_takes(
    as_owner, page, season, owner, grain, make_plot
):
    north, _ = make_plot("North", acres=2), make_plot("South", acres=1)
    assign(season=season, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    text = words(as_owner.get(page))
    assert "Nothing is decided for 1 plot." in text
    assert "GR Grain drilled, PLS 1 2.00 60.00 120.0" in text


def test_plots_get_a_blend_fallow_or_nothing(as_owner, page, season, owner, grain, make_plot):
    north, south, creek = make_plot("North"), make_plot("South"), make_plot("Creek")
    assign(season=season, user=owner, assignments=[{"plot_id": creek.pk, "fallow": True}])
    body = posted((north, "", grain), (south, "", "fallow"), (creek, "fallow", ""))
    assert "3 plots changed." in words(as_owner.post(page, body, follow=True))
    assert given(season) == {"North": "Grain", "South": "fallow"}


def test_row_that_was_not_touched_does_not_undo_another_persons_change(
    as_owner, page, season, owner, grain, make_plot
):
    north, south = make_plot("North"), make_plot("South")
    body = posted((north, "", ""), (south, "", "fallow"))
    assign(season=season, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    as_owner.post(page, body)
    assert given(season) == {"North": "Grain", "South": "fallow"}


def test_ticked_rows_are_set_together_and_the_others_are_saved_too(as_owner, page, season, grain, make_plot):
    north, south, creek = make_plot("North"), make_plot("South"), make_plot("Creek")
    body = posted((north, "", ""), (south, "", ""), (creek, "", "fallow"))
    body |= {"plot-0-tick": "on", "plot-1-tick": "on"}
    body |= {"act": "bulk", "bulk_use": grain.pk, "bulk_method": "broadcast"}
    as_owner.post(page, body)
    assert given(season) == {"North": "Grain", "South": "Grain", "Creek": "fallow"}
    assert set(season.plantings.filter(blend=grain).values_list("method", flat=True)) == {"broadcast"}


def test_nothing_ticked_is_said_and_nothing_lost(as_owner, page, season, grain, make_plot):
    body = posted((make_plot("North"), "", grain), act="bulk", bulk_use=grain.pk, bulk_method="drilled")
    response = as_owner.post(page, body)
    assert "No plot is ticked" in words(response)
    assert f'<option value="{grain.pk}" selected>Grain</option>' in response.content.decode()


@pytest.mark.parametrize("use", ["99999", "99999999999999999999", "anything"])
def test_blend_that_is_not_there_is_refused_at_its_plot(as_owner, page, season, make_plot, use):
    response = as_owner.post(page, posted((make_plot("North"), "", use)))
    assert response.status_code == 200
    assert "North, Blend" in words(response)
    assert not season.plantings.exists()


@pytest.mark.parametrize("plot_id", ["99999", "99999999999999999999", "x"])
def test_plot_that_is_not_there_is_refused(as_owner, page, season, make_plot, plot_id):
    body = posted((make_plot("North"), "", "fallow")) | {"plot-0-plot_id": plot_id}
    assert as_owner.post(page, body).status_code == 200
    assert not season.plantings.exists()


def test_planted_plot_is_locked_and_says_why(as_owner, page, season, owner, grain, make_plot):
    north = make_plot("North")
    assign(season=season, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    record_planted(planting=season.plantings.get(), on=date(2024, 9, 1), acres=Decimal("1.9"))
    response = as_owner.get(page)
    assert "North 1.90 ac GR Grain Drilled 1 Sep 2024 Locked: it is planted." in words(response)
    assert 'name="plot-0-use"' not in response.content.decode()


def test_plot_planted_meanwhile_is_not_changed_and_the_rest_comes_back(
    as_owner, page, season, owner, grain, make_plot
):
    north, south = make_plot("North"), make_plot("South")
    assign(season=season, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    record_planted(planting=season.plantings.get(), on=date(2024, 9, 1), acres=Decimal(2))
    response = as_owner.post(page, posted((north, grain, "fallow"), (south, "", "fallow")))
    assert "North was planted on 2024-09-01" in words(response)
    assert "Locked: it is planted." in words(response)
    assert '<option value="fallow" selected>' in response.content.decode()
    assert given(season) == {"North": "Grain"}


def test_undecided_plots_can_be_shown_alone(as_owner, page, season, owner, grain, make_plot):
    north, _ = make_plot("North"), make_plot("South")
    assign(season=season, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    text = words(as_owner.get(page, {"show": "undecided"}))
    assert "South" in text
    assert "North" not in text


def test_moving_to_the_next_plots_saves_these(as_owner, page, season, make_plot, monkeypatch):
    monkeypatch.setattr(views, "PLOTS_A_PAGE", 2)
    plots = [make_plot(name) for name in ("A", "B", "C")]
    body = posted((plots[0], "", "fallow"), (plots[1], "", "")) | {"go": "2"}
    response = as_owner.post(page, body, follow=True)
    assert given(season) == {"A": "fallow"}
    assert f'value="{plots[2].pk}"' in response.content.decode()


def test_copying_fills_only_what_is_undecided(as_owner, farm, page, season, owner, grain, make_plot):
    north, south = make_plot("North"), make_plot("South")
    before = open_season(property=farm, year=2026, kind="cool")
    assign(
        season=before,
        user=owner,
        assignments=[{"plot_id": p.pk, "blend_id": grain.pk} for p in (north, south)],
    )
    assign(season=season, user=owner, assignments=[{"plot_id": south.pk, "fallow": True}])
    text = words(as_owner.post(page, {"act": "copy", "from_season": before.pk}, follow=True))
    assert "1 plot got what it had in the cool season 2026." in text
    assert given(season) == {"North": "Grain", "South": "fallow"}


def test_season_of_another_property_is_not_copied(as_owner, elsewhere, page, season, farm):
    open_season(property=farm, year=2025, kind="cool")
    other = open_season(property=elsewhere, year=2026, kind="cool")
    response = as_owner.post(page, {"act": "copy", "from_season": other.pk})
    assert "Not saved" in words(response)


def test_viewer_reads_the_season_without_a_form(viewer, page, season, owner, grain, make_plot):
    north = make_plot("North")
    assign(season=season, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    response = signed_in(viewer).get(page)
    assert "North 2.00 ac GR Grain Drilled" in words(response)
    assert "<select" not in response.content.decode()


def recorded(*rows, on="2024-09-12"):
    """What the form posts: rows of (planting, acres, ticked)."""
    body = {"planting-TOTAL_FORMS": len(rows), "planting-INITIAL_FORMS": 0, "on": on}
    for number, (planting, acres, ticked) in enumerate(rows):
        body |= {f"planting-{number}-planting_id": planting.pk, f"planting-{number}-acres": acres}
        body |= {f"planting-{number}-tick": "on"} if ticked else {}
    return body


@pytest.fixture
def two_planned(season, owner, grain, make_plot):
    assignments = [{"plot_id": make_plot(name).pk, "blend_id": grain.pk} for name in ("North", "South")]
    assign(season=season, user=owner, assignments=assignments)
    return list(season.plantings.order_by("plot__name"))


def test_recorder_records_what_was_planted_on_a_day(recorder, record_page, season, two_planned):
    north, south = two_planned
    body = recorded((north, "1.85", True), (south, "2.00", False))
    text = words(signed_in(recorder).post(record_page, body, follow=True))
    assert "1 plot recorded as planted on 12 September 2024." in text
    rows = season.plantings.order_by("plot__name").values_list("state", "planted_acres")
    assert list(rows) == [("drilled", Decimal("1.850")), ("planned", None)]


@pytest.mark.parametrize(
    ("acres", "on", "sentence"),
    [
        ("", "2024-09-12", "Say how many acres were planted"),
        ("0", "2024-09-12", "0 is not accepted"),
        ("some", "2024-09-12", "some is not accepted"),
        ("2", "soon", "The day cannot be read"),
        ("2", "", "Say on which day it was planted."),
        ("2", str(timezone.localdate() + timedelta(days=2)), "is in the future"),
    ],
)
def test_record_that_cannot_be_is_refused_in_words(
    as_owner, record_page, season, two_planned, acres, on, sentence
):
    response = as_owner.post(record_page, recorded((two_planned[0], acres, True), on=on))
    assert sentence in words(response)
    assert not season.plantings.exclude(state=Planting.State.PLANNED).exists()


def test_one_refused_plot_keeps_the_others_back_too(as_owner, record_page, season, two_planned):
    """All of a day's plots are stored or none, so that nobody has to find out which."""
    north, south = two_planned
    Planting.objects.filter(pk=south.pk).update(
        state="up", planted_on=date(2024, 9, 1), planted_acres=Decimal(1)
    )
    response = as_owner.post(record_page, recorded((north, "2", True), (south, "2", True)))
    assert "South is recorded as up already." in words(response)
    assert season.plantings.get(pk=north.pk).state == "planned"


def test_day_and_acres_of_one_plot_can_be_corrected(as_owner, record_page, season, two_planned):
    north = two_planned[0]
    record_planted(planting=north, on=date(2024, 9, 1), acres=Decimal(2))
    response = as_owner.get(record_page, {"plot": north.plot_id})
    assert 'value="2024-09-01"' in response.content.decode()
    as_owner.post(f"{record_page}?plot={north.plot_id}", recorded((north, "1.7", True), on="2024-09-03"))
    north.refresh_from_db()
    assert (north.planted_on, north.planted_acres) == (date(2024, 9, 3), Decimal("1.700"))


def test_planting_of_another_season_is_not_recorded_here(
    as_owner, farm, record_page, two_planned, owner, grain
):
    other = open_season(property=farm, year=2024, kind="warm")
    assign(season=other, user=owner, assignments=[{"plot_id": two_planned[0].plot_id, "blend_id": grain.pk}])
    as_owner.post(record_page, recorded((other.plantings.get(), "2", True)))
    assert other.plantings.get().state == "planned"


@pytest.mark.parametrize("number", ["9" * 19, "9" * 5000])
def test_a_number_too_large_for_a_plot_is_no_plot(as_owner, farm, season, number):
    page = as_owner.get(reverse("season-planted", args=[farm.slug, season.slug]), {"plot": number})
    assert page.status_code == 200
    outlines = as_owner.get(reverse("overview-outlines", args=[farm.slug]), {"plot": number})
    assert outlines.status_code == 404
