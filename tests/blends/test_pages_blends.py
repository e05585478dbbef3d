"""The list of blends, a blend's page and the page on which one is put together."""

import re
from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from blends.models import Blend, Species
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
        body |= {
            f"row-{number}-{name}": "" if value is None else getattr(value, "pk", value)
            for name, value in row.items()
        }
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


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        ({"row-0-drilled_pls_lb_per_acre": "-1"}, "Row 1, Drilled (PLS lb/ac): -1 is not accepted"),
        ({"end_on": "soon"}, "Ends on: soon is not accepted; a day such as 2026-09-12 is."),
        ({"kind": "bought", "drilled_bulk_lb_per_acre": "0"}, "Drilled (bulk lb/ac): 0 is not accepted"),
    ],
)
def test_fragment_says_what_it_could_not_read(as_owner, farm, species, body, sentence):
    typed_so_far = typed((species("oats"), "40", ""), name="") | body
    text = words(as_owner.post(reverse("blend-figures", args=[farm.slug]), typed_so_far))
    assert sentence in text
    assert "Name" not in text  # a blend without a name has figures all the same


def test_fragment_without_figures_says_so_in_whole_sentences(as_owner, farm, species):
    text = words(
        as_owner.post(
            reverse("blend-figures", args=[farm.slug]),
            typed((species("oats"), "x", ""), (species("cereal_rye"), "45", "")),
        )
    )
    assert "Drilled: how full the stand will be is not known yet." in text
    assert "How long more than 30 % of the ground stays covered is not known." in text


def test_saved_blend_is_judged_for_what_was_asked_beside_the_form(as_owner, farm, species):
    body = typed((species("oats"), "40", "")) | {"objective": "hold_weeds", "end_on": "2027-05-01"}
    saved = as_owner.post(reverse("blend-new", args=[farm.slug]), body)
    assert saved.url.endswith("/?objective=hold_weeds&end_on=2027-05-01")


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


# --- the bench --------------------------------------------------------------------------------------------------


def open_blend(client, farm, blend, **query):
    return client.get(reverse("blend", args=[farm.slug, blend.pk]), query)


def test_page_judges_for_balance_where_no_plot_says(as_owner, farm, grain):
    text = words(open_blend(as_owner, farm, grain))
    assert "Judged for: balance , drilled" in text
    assert "Balance wants 20 to 30" in text


def test_page_judges_for_what_most_planned_plots_want(as_owner, farm, planted_grain):
    farm.plots.filter(name="South").update(objective="hold_weeds")
    farm.plots.filter(name="North").update(objective="feed_next")  # planted already, so it does not count
    assert "Judged for: hold weeds , drilled" in words(open_blend(as_owner, farm, planted_grain))


def test_page_judges_for_what_is_asked(as_owner, farm, grain):
    text = words(
        open_blend(
            as_owner,
            farm,
            grain,
            objective="feed_next",
            method="broadcast",
            seeding_on="2026-09-01",
            end_on="2027-05-01",
        )
    )
    assert "Judged for: feed the next crop , broadcast, 1 Sep 2026 to 1 May 2027" in text


def test_what_cannot_be_asked_is_said_and_left_out(as_owner, farm, grain):
    response = open_blend(as_owner, farm, grain, objective="gold", seeding_on="soon")
    text = words(response)
    assert "Judged for: balance , drilled" in text
    assert "gold is not accepted; hold_weeds, feed_next, balance are." in text
    assert "soon is not accepted; a day such as 2026-09-12 is." in text


def test_end_before_the_seeding_is_said_at_the_end(as_owner, farm, grain):
    text = words(open_blend(as_owner, farm, grain, seeding_on="2026-09-01", end_on="2026-08-01"))
    assert "The end is 1 Aug 2026; accepted is a day after the seeding on 1 Sep 2026." in text


def test_page_shows_the_pictures_with_the_figures_behind_them(as_owner, farm, grain):
    html = open_blend(as_owner, farm, grain, seeding_on="2026-09-01").content.decode()
    for key in ("cn", "months", "seeds", "cover"):
        assert f'aria-labelledby="{key}-title {key}-desc"' in html
        assert f'<details id="{key}-figures">' in html


def test_ids_of_the_page_are_unique(as_owner, farm, grain):
    ids = re.findall(r'\bid="([^"]+)"', open_blend(as_owner, farm, grain).content.decode())
    assert len(ids) == len(set(ids))


def test_working_of_cn_has_values_with_what_they_rest_on(as_owner, farm, grain):
    html = open_blend(as_owner, farm, grain).content.decode()
    part = html.split('id="working-cn-mature"')[1].split("</details>")[0]
    assert "sum of (dry matter × carbon %) ÷ sum of (dry matter × nitrogen %)" in part
    assert "Cereal rye" in part
    assert 'class="basis basis-' in part
    values = part.split("The values come from")[1]
    assert "Carbon to Nitrogen Ratios in Cropping Systems" in values  # rye's 37, as the species table says


def test_enter_in_the_form_works_the_figures_out(as_owner, farm, grain):
    html = as_owner.get(reverse("blend-edit", args=[farm.slug, grain.pk])).content.decode()
    form = html.split('class="blend-form"')[1]
    assert re.search(r"<button[^>]*>", form).group() == (
        '<button class="sr" name="act" value="figures" tabindex="-1" aria-hidden="true">'
    )


def test_weeds_weight_and_numbers_are_told_apart(as_owner, farm, grain):
    text = words(open_blend(as_owner, farm, grain))
    assert "Weeds weigh less (biomass)" in text
    assert "Fewer weeds come up (numbers)" in text


def test_nitrogen_is_no_recommendation(as_owner, farm, grain):
    assert "not a fertiliser recommendation" in words(open_blend(as_owner, farm, grain))


def test_cautions_begin_with_the_rule_that_comes_first(as_owner, farm, grain):
    assert "Cautions Local rules and the label come first." in words(open_blend(as_owner, farm, grain))


def test_blend_without_components_shows_no_empty_bench(as_owner, farm, make_mixed):
    text = words(open_blend(as_owner, farm, make_mixed("Empty", {})))
    assert "This blend has no rates yet" in text
    assert "Carbon to nitrogen" not in text


def test_next_version_is_made_on_purpose(as_owner, farm, grain):
    page = reverse("blend", args=[farm.slug, grain.pk])
    text = words(as_owner.post(page, {"act": "version"}, follow=True))
    assert "Grain v2 is the same as Grain so far. Change what should differ; Grain stays as it is." in text
    assert "Change Grain v2" in text
    text = words(as_owner.post(page, {"act": "version"}, follow=True))
    assert "Grain has been followed by version 2; change that one." in text


def test_fragment_shows_cn_for_the_objective_that_is_chosen(as_owner, farm, species):
    body = typed((species("cereal_rye"), "90", ""), objective="hold_weeds")
    text = words(as_owner.post(reverse("blend-figures", args=[farm.slug]), body))
    assert "Hold weeds wants above 30" in text
    assert "what holds weeds (above 30)" in text


# --- scaling ----------------------------------------------------------------------------------------------------


@pytest.fixture
def priced(small_property):
    return Blend.objects.get(name="Grain")


def scale(client, farm, blend, act, **head):
    """The blend's form as it is stored, with an act that scales."""
    rows = [
        (row.species, row.drilled_pls_lb_per_acre, row.broadcast_pls_lb_per_acre)
        for row in blend.components.all()
    ]
    return post(client, farm, typed(*rows, act=act, name=blend.name, **head), blend)


def rate_in(response, row, method="drilled"):
    html = response.content.decode()
    field = html.split(f'name="row-{row}-{method}_pls_lb_per_acre"')[1].split(">")[0]
    return Decimal(re.search(r'value="([^"]*)"', field)[1])


def test_budget_fills_the_form_and_saves_nothing(as_owner, farm, priced):
    """By hand: oats 60 × 22.00 ÷ 50 ÷ 0.882 and clover 5 × 60.00 ÷ 25 ÷ 0.833 are 29.93 and 14.41, 44.34 in all."""
    response = scale(as_owner, farm, priced, "budget", budget_usd_per_acre="30")
    oats, clover = rate_in(response, 0), rate_in(response, 1)
    assert oats == pytest.approx(Decimal(60) * 30 / Decimal("44.34"), rel=Decimal("0.002"))
    assert oats / clover == pytest.approx(12, rel=Decimal("0.005"))
    assert rate_in(response, 0, "broadcast") == 75
    total = response.context["figures"].drilled.cost_usd_per_acre
    assert Decimal("29.95") <= total <= 30
    text = words(response)
    assert "Rates, drilled, scaled to $30.00 of seed an acre: times 0.676, rounded down" in text
    assert "Not saved yet." in text
    assert priced.components.first().drilled_pls_lb_per_acre == 60


def test_full_rates_bring_the_shares_to_100_percent(as_owner, farm, priced):
    response = scale(as_owner, farm, priced, "full")
    assert response.context["figures"].drilled.share_of_full_rate == pytest.approx(1, abs=0.002)


def test_scaling_can_be_taken_back(as_owner, farm, priced):
    scaled = scale(as_owner, farm, priced, "full")
    before = unescape(re.search(r'name="before" value="([^"]*)"', scaled.content.decode())[1])
    response = scale(as_owner, farm, priced, "unscale", before=before)
    assert (rate_in(response, 0), rate_in(response, 1)) == (60, 5)
    assert "The rates are back to what they were before scaling." in words(response)


@pytest.mark.parametrize("before", ["", "x", "[1]", '{"name": "Other"}'])
def test_nothing_else_is_taken_back(as_owner, farm, priced, before):
    response = scale(as_owner, farm, priced, "unscale", before=before)
    assert 'value="Grain"' in response.content.decode()
    assert "back to what they were" not in words(response)


def test_price_that_is_not_known_is_named_and_nothing_is_scaled(as_owner, farm, grain):
    response = scale(as_owner, farm, grain, "budget", budget_usd_per_acre="30")
    assert "The blend cannot be scaled yet: Cereal rye has no offer. Oats has no offer." in words(response)
    assert rate_in(response, 0) == 45


@pytest.mark.parametrize(
    ("budget", "sentence"),
    [
        ("", "Type what an acre of seed may cost."),
        ("-3", "-3 is not accepted; a number from 0.01 to 100000 with at most 2 decimals is."),
        ("0.01", "Budget is $0.01 an acre; accepted is $0.02 or more, a cent for each component."),
    ],
)
def test_budget_that_cannot_be_used_is_said_at_its_field(as_owner, farm, priced, budget, sentence):
    assert sentence in words(scale(as_owner, farm, priced, "budget", budget_usd_per_acre=budget))


def test_bought_mix_scales_its_bag(as_owner, farm, small_property):
    """The bag costs 35.00 ÷ 10 a pound, so 42.00 less a cent held back buys 11.99 lb, rounded down."""
    bag = Blend.objects.get(name="Bag")
    rows = [
        {"species_id": row.species, "tag_pct_by_weight": row.tag_pct_by_weight, "tag_germination_pct": "80"}
        for row in bag.components.all()
    ]
    body = typed(*rows, name="Bag", kind="bought", drilled_bulk_lb_per_acre="20", act="budget")
    response = post(as_owner, farm, body | {"budget_usd_per_acre": "42"}, bag)
    assert 'name="drilled_bulk_lb_per_acre" value="11.99"' in response.content.decode()


def test_figures_of_twenty_components_ask_few_questions(as_owner, farm, django_assert_max_num_queries):
    chosen = Species.objects.filter(property=None)[:20]
    body = typed(*((each, "3", "4") for each in chosen))
    with django_assert_max_num_queries(15):
        response = as_owner.post(reverse("blend-figures", args=[farm.slug]), body)
    assert len(response.context["figures"].rows) == 20


@pytest.mark.parametrize(
    "asked", [{"seeding_on": "9999-12-31"}, {"seeding_on": "2026-09-01", "end_on": "9999-12-31"}]
)
def test_days_that_no_calendar_holds_are_said_at_their_field(as_owner, farm, grain, asked):
    text = words(open_blend(as_owner, farm, grain, **asked))
    assert "accepted is a day from 1950 to 2150." in text or "at most three years after the seeding" in text


@pytest.mark.parametrize("number", ["9" * 30, "9" * 5000])
def test_numbers_that_no_database_holds_are_no_rows(as_owner, farm, grain, number):
    where = f"/p/{farm.slug}/blends/"
    sent = {"name": "New", "kind": "mixed", "row-TOTAL_FORMS": number, "row-INITIAL_FORMS": "0"}
    assert as_owner.post(f"{where}new/", sent | {"act": "more"}).status_code == 200
    assert as_owner.post(f"{where}figures/?blend={number}", sent).status_code == 200
    assert as_owner.get(f"{where}compare/?blend={number}&blend={grain.pk}").status_code == 200
    assert as_owner.post(f"{where}{grain.pk}/", {"act": "unclip", "clipping": number}).status_code == 200
