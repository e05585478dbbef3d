"""The list of blends, a blend's page and the page on which one is put together."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from blends.models import Blend
from blends.services.seasons import assign, record_planted
from tests.blends.pages import signed_in, squeezed, words


@pytest.fixture
def as_owner(owner):
    return signed_in(owner)


@pytest.fixture
def grain(make_mixed):
    return make_mixed("Grain", {"cereal_rye": ("45", "75"), "oats": ("50", None)})


@pytest.fixture
def planted_grain(grain, season, owner, make_plot):
    """Grain, planted on North and planned for South."""
    north, south = make_plot("North"), make_plot("South")
    assign(
        season=season,
        user=owner,
        assignments=[{"plot_id": p.pk, "blend_id": grain.pk} for p in (north, south)],
    )
    on = date(season.year - 5, 9, 1)
    record_planted(planting=season.plantings.get(plot=north), on=on, acres=Decimal(2))
    return grain


def typed(*rows, total=None, **head):
    """What the form posts: rows of (species, drilled, broadcast) or dicts of the row's fields."""
    body = {
        "name": "Fall",
        "kind": "mixed",
        "row-TOTAL_FORMS": total or len(rows),
        "row-INITIAL_FORMS": 0,
    } | head
    for number, row in enumerate(rows):
        if not isinstance(row, dict):
            names = ("species_id", "drilled_pls_lb_per_acre", "broadcast_pls_lb_per_acre")
            row = dict(zip(names, row, strict=False))
        body |= {f"row-{number}-{name}": getattr(value, "pk", value) for name, value in row.items()}
    return body


def post(client, farm, body, blend=None):
    route = ("blend-edit", [farm.slug, blend.pk]) if blend else ("blend-new", [farm.slug])
    return client.post(reverse(route[0], args=route[1]), body, follow=True)


def test_list_without_blends_says_what_to_do(as_owner, farm):
    assert "Put a blend together" in words(as_owner.get(reverse("blends", args=[farm.slug])))


def test_list_shows_totals_and_where_each_blend_is(as_owner, farm, planted_grain):
    text = words(as_owner.get(reverse("blends", args=[farm.slug])))
    assert "GR Grain Mixed here 2 95.00 PLS" in text
    assert "Cool season 2027 : 2 plots, 1 planted" in text


def test_page_shows_shares_of_full_rates_and_what_they_mean(as_owner, farm, grain):
    """By hand: 45 ÷ (60 + 120)/2 = 50 %, 50 ÷ (80 + 120)/2 = 50 %; 45 × 18,160 ÷ 43,560 = 18.8 seeds/ft²."""
    text = words(as_owner.get(reverse("blend", args=[farm.slug, grain.pk])))
    assert "100 % of full rates: about a full stand." in text
    assert "Cereal rye 45.00 18.8 60 – 120 P (Published) 50 % 47 %" in text


def test_working_can_be_followed_by_hand(as_owner, farm, grain):
    response = as_owner.get(reverse("blend", args=[farm.slug, grain.pk]))
    assert "45.00×18,160P(Published)÷43,560=18.8" in squeezed(response)
    assert "45.00÷middleof60–120P(Published)=50%" in squeezed(response)


def test_rate_that_is_missing_is_named_and_leaves_the_total_unknown(as_owner, farm, grain):
    text = words(as_owner.get(reverse("blend", args=[farm.slug, grain.pk])))
    assert "Oats has no broadcast rate." in text
    assert "How full the stand will be is not known yet." in text


def test_recorder_sees_no_costs_anywhere(recorder, farm, small_property):
    client = signed_in(recorder)
    season, grain = small_property.season, Blend.objects.get(name="Grain")
    pages = [
        reverse("blends", args=[farm.slug]),
        reverse("blend", args=[farm.slug, grain.pk]),
        reverse("season", args=[farm.slug, season.slug]),
        reverse("season-planted", args=[farm.slug, season.slug]),
        reverse("seasons", args=[farm.slug]),
    ]
    for page in pages:
        text = client.get(page).content.decode().lower()
        assert "grain" in text or "cool season" in text
        assert "$" not in text
        assert "cost" not in text
        assert "seed order" not in words(client.get(page)).lower()


def test_blend_is_made_of_the_rows_that_are_filled(as_owner, farm, species):
    body = typed(
        (species("oats"), "40", ""), ("", "", ""), (species("cereal_rye"), " 1,000.5 ", "60"), name="Fall"
    )
    assert "Fall is saved." in words(post(as_owner, farm, body))
    rates = Blend.objects.get().components.values_list("species__key", "drilled_pls_lb_per_acre")
    assert list(rates) == [("oats", Decimal(40)), ("cereal_rye", Decimal("1000.5"))]


def test_row_that_a_script_removed_leaves_no_error(as_owner, farm, species):
    body = typed((species("oats"), "40", ""), total=3)
    body |= {"row-2-species_id": species("cereal_rye").pk, "row-2-drilled_pls_lb_per_acre": "30"}
    post(as_owner, farm, body)
    assert Blend.objects.get().components.count() == 2


def test_bought_mix_is_made_of_its_tag(as_owner, farm, species):
    tag = {"species_id": species("chicory"), "tag_pct_by_weight": "40 %", "tag_germination_pct": "85"}
    post(as_owner, farm, typed(tag, kind="bought", drilled_bulk_lb_per_acre="12"))
    blend = Blend.objects.get()
    assert (blend.kind, blend.drilled_bulk_lb_per_acre) == ("bought", 12)
    assert blend.components.get().tag_pct_by_weight == 40


@pytest.mark.parametrize(
    ("rate", "sentence"),
    [
        ("forty", "forty is not accepted; a number above 0 with at most 4 decimals is."),
        ("0", "0 is not accepted; a number above 0 with at most 4 decimals is."),
        ("-3", "-3 is not accepted"),
        ("1,5", "1,5 is not accepted"),
        ("NaN", "NaN is not accepted"),
    ],
)
def test_rate_that_cannot_be_used_is_said_at_its_row(as_owner, farm, species, rate, sentence):
    response = post(as_owner, farm, typed((species("oats"), rate, "")))
    assert f"Row 1, Drilled (PLS lb/ac) : {sentence}" in words(response)
    assert f'value="{rate}"' in response.content.decode()
    assert not Blend.objects.exists()


def test_figures_without_a_species_are_not_dropped(as_owner, farm):
    response = post(as_owner, farm, typed(("", "40", "")))
    assert "Choose the species of this row, or clear its figures." in words(response)


def test_species_twice_is_refused_at_the_second_row(as_owner, farm, species):
    response = post(as_owner, farm, typed((species("oats"), "40", ""), (species("oats"), "20", "")))
    assert "Row 2, Species : Oats is in the blend twice; once is accepted." in words(response)


def test_name_that_is_taken_is_refused_at_the_name(as_owner, farm, grain, species):
    response = post(as_owner, farm, typed((species("oats"), "40", ""), name="grain"))
    assert "Name : Another blend of this property is called “grain”." in words(response)


def test_summary_of_errors_takes_the_focus(as_owner, farm):
    response = post(as_owner, farm, typed(("", "40", "")))
    assert '<div class="error-summary" role="alert" tabindex="-1" autofocus>' in response.content.decode()


def test_work_it_out_shows_figures_without_saving(as_owner, farm, species):
    response = post(as_owner, farm, typed((species("cereal_rye"), "45", ""), act="figures"))
    assert "Drilled, 50 % of full rates: thin, less than half a stand." in words(response)
    assert not Blend.objects.exists()


@pytest.mark.parametrize("total", ["2", "", "many"])
def test_more_rows_come_without_losing_what_was_typed(as_owner, farm, species, total):
    body = typed((species("oats"), "40", ""), act="more") | {"row-TOTAL_FORMS": total}
    response = post(as_owner, farm, body)
    assert response.status_code == 200
    assert 'name="row-6-species_id"' in response.content.decode() or total != "2"


def test_fragment_follows_the_typing(as_owner, farm, species):
    response = as_owner.post(
        reverse("blend-figures", args=[farm.slug]),
        typed((species("cereal_rye"), "90", ""), (species("oats"), "x", "")),
    )
    text = words(response)
    assert "90.00" not in text.split("Pure live seed", 1)[1].split("Live", 1)[0]  # the total is unknown
    assert "Oats has no drilled rate." in text
    assert "100 %" in text


def test_fragment_of_nothing_says_what_to_type(as_owner, farm):
    response = as_owner.post(reverse("blend-figures", args=[farm.slug]), typed())
    assert "Choose a species and type its rate" in words(response)


def test_page_says_before_saving_that_a_version_will_be_made(as_owner, farm, planted_grain):
    text = words(as_owner.get(reverse("blend-edit", args=[farm.slug, planted_grain.pk])))
    assert "Grain has been planted on 1 plot. It stays as it was planted: saving makes version 2." in text
    assert "The 1 plot where it is only planned gets the new version." in text


def test_change_of_a_planted_blend_makes_a_version(as_owner, farm, planted_grain, species):
    body = typed((species("cereal_rye"), "60", ""), name="Grain", mark="GR")
    text = words(post(as_owner, farm, body, planted_grain))
    assert "Grain v2 is saved as a new version; Grain stays as it was planted." in text
    assert "follows version 1" in text


def test_older_version_leads_to_the_newer(as_owner, farm, planted_grain, species):
    post(as_owner, farm, typed((species("oats"), "60", ""), name="Grain", mark="GR"), planted_grain)
    text = words(as_owner.get(reverse("blend", args=[farm.slug, planted_grain.pk])))
    assert "This version stays as it was planted. Version 2 has followed it." in text
    assert "Change the blend" not in text


def test_copy_opens_under_its_name(as_owner, farm, grain):
    response = as_owner.post(
        reverse("blend", args=[farm.slug, grain.pk]), {"act": "copy", "name": "Grain light"}, follow=True
    )
    assert "Change Grain light" in words(response)


def test_copy_under_a_taken_name_is_refused_at_the_name(as_owner, farm, grain):
    response = as_owner.post(reverse("blend", args=[farm.slug, grain.pk]), {"act": "copy", "name": "Grain"})
    assert "Another blend of this property is called “Grain”." in words(response)


def test_archived_blend_is_put_away_and_comes_back(as_owner, farm, grain):
    page = reverse("blend", args=[farm.slug, grain.pk])
    as_owner.post(page, {"act": "archive"})
    assert "Put away (1)" in words(as_owner.get(reverse("blends", args=[farm.slug])))
    as_owner.post(page, {"act": "restore"})
    assert "Put away" not in words(as_owner.get(reverse("blends", args=[farm.slug])))
