"""The pages on which plantings and terminations are written, read, corrected and struck."""

import uuid
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from blends.models import PlantingLot, PlantingRecord, Termination
from blends.services.seasons import assign
from tests.blends.pages import signed_in, words
from tests.blends.planted import drilled, lot_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting(small_property, season):
    return season.plantings.get(plot__name="North")


@pytest.fixture
def oats_lot(farm, species, owner):
    return lot_of(farm, species("oats"), owner)


def form_of(*seeds, **said):
    """A posted form: seeds are (what, put in, left, used)."""
    posted = {"id": str(uuid.uuid4()), "done_on": "2026-09-10", "acres": "2", "seed-INITIAL_FORMS": "0"}
    posted["seed-TOTAL_FORMS"] = str(len(seeds))
    for place, (what, *pounds) in enumerate(seeds):
        posted[f"seed-{place}-what"] = what
        for name, lb in zip(("loaded_lb", "left_lb", "used_lb"), pounds, strict=False):
            posted[f"seed-{place}-{name}"] = lb
    return posted | said


def address(name, planting, **more):
    return reverse(name, args=[planting.season.property.slug, planting.season.slug, planting.plot_id])


def test_the_form_opens_with_the_plots_sheet(planting, oats_lot, recorder):
    PlantingLot.objects.create(planting=planting, lot=oats_lot)
    page = signed_in(recorder).get(address("record-new", planting)).content.decode()
    assert f'<option value="lot:{oats_lot.pk}" selected>' in page
    # 2 acres × 60 lb PLS ÷ 0.882, as the sheet weighs it
    assert 'value="136.05"' in page
    assert "Crimson clover, lot not known" in page


def test_a_planting_is_written_by_what_was_put_in_and_left(planting, oats_lot, recorder):
    client = signed_in(recorder)
    posted = form_of(
        (f"lot:{oats_lot.pk}", "150", "", ""), ("", "", "", ""), left_main="12.5", setting_main="42",
        depths_checked_in="0.5, 0.75", soil_temp_f="68",
    )  # fmt: skip
    answer = client.post(address("record-new", planting), posted)
    record = PlantingRecord.objects.get()
    assert answer.url == reverse("record", args=[planting.season.property.slug, record.pk])
    seed = record.seeds.get()
    assert (seed.loaded_lb, seed.left_lb, seed.used_lb) == (150, Decimal("12.5"), Decimal("137.5"))
    assert (record.settings, record.depths_checked_in) == ({"main": "42"}, [0.5, 0.75])
    # the same form sent twice is one record
    client.post(address("record-new", planting), posted)
    assert PlantingRecord.objects.count() == 1
    said = words(client.get(answer.url))
    assert "No seed is recorded of Crimson clover" in said
    assert "The drill ran 1.1 % heavy: 1.4 lb." in said  # 137.5 against 2 × 68.027 = 136.054 lb


def test_what_is_refused_stands_at_its_row_and_stays_typed(planting, oats_lot, recorder):
    posted = form_of((f"lot:{oats_lot.pk}", "150", "151", ""), note="Windy")
    answer = signed_in(recorder).post(address("record-new", planting), posted)
    said = words(answer)
    assert "151 lb were left and 150 lb put in" in said
    assert 'value="151"' in answer.content.decode()
    assert "Windy" in said
    assert not PlantingRecord.objects.exists()


def test_too_little_in_the_book_is_taken_when_the_bags_were_weighed(planting, oats_lot, recorder):
    client = signed_in(recorder)
    posted = form_of((f"lot:{oats_lot.pk}", "", "", "410"))
    answer = client.post(address("record-new", planting), posted)
    assert "had 400 lb" in words(answer)
    assert client.post(address("record-new", planting), posted | {"is_counted": "on"}).status_code == 302


def test_a_correction_keeps_what_it_said_before(planting, oats_lot, recorder):
    client = signed_in(recorder)
    record = drilled(planting, recorder, {oats_lot: "100"})
    slug = planting.season.property.slug
    correct = reverse("record-correct", args=[slug, record.pk])
    assert 'value="100"' in client.get(correct).content.decode()
    answer = client.post(correct, form_of((f"lot:{oats_lot.pk}", "", "", "120"), acres="2.2"))
    new = PlantingRecord.objects.get(replaced_by=None)
    assert answer.url == reverse("record", args=[slug, new.pk])
    assert "What it said before 2.00 ac on 10 Sep 2026" in words(client.get(answer.url))
    assert "the newer record counts" in words(client.get(reverse("record", args=[slug, record.pk])))
    # who opens the old one to correct it comes to the newer
    assert client.get(correct).url == answer.url


def test_a_strike_asks_for_its_reason(planting, oats_lot, recorder):
    client = signed_in(recorder)
    record = drilled(planting, recorder, {oats_lot: "100"})
    page = reverse("record", args=[planting.season.property.slug, record.pk])
    assert "needs a reason in words" in words(client.post(page, {"act": "strike", "reason": ""}))
    client.post(page, {"act": "strike", "reason": "Another plot."})
    assert "Struck: Another plot." in words(client.get(page))


def test_costs_stay_with_who_may_see_them(planting, oats_lot, owner, recorder):
    record = drilled(planting, owner, {oats_lot: "100"})
    slug = planting.season.property.slug
    for page in (
        reverse("record", args=[slug, record.pk]),
        reverse("sown", args=[slug, planting.season.slug]),
    ):
        assert "$" in words(signed_in(owner).get(page))
        assert "$" not in words(signed_in(recorder).get(page))


def test_what_a_plot_got_is_set_against_its_target(planting, oats_lot, species, farm, owner):
    """60 lb PLS of oats and 5 of clover, of tags of 0.882: 68.03 + 5.67 = 73.70 lb/ac. 150 lb on 2 acres are 75.00."""
    clover = lot_of(farm, species("crimson_clover"), owner, number="C1")
    drilled(planting, owner, {oats_lot: "138", clover: "12"})
    said = words(signed_in(owner).get(reverse("sown", args=[farm.slug, planting.season.slug])))
    assert "73.70 75.00" in said
    assert "The drill ran 1.8 % heavy: 2.6 lb." in said


def test_day_and_acres_of_a_recorded_planting_lead_to_its_record(planting, oats_lot, owner):
    record = drilled(planting, owner, {oats_lot: "100"})
    slug = planting.season.property.slug
    page = reverse("season-planted", args=[slug, planting.season.slug])
    answer = signed_in(owner).get(page, {"plot": planting.plot_id})
    assert answer.url == reverse("record", args=[slug, record.pk])


def spray(**said):
    posted = {
        "id": str(uuid.uuid4()), "method": "herbicide", "product-TOTAL_FORMS": "2", "product-INITIAL_FORMS": "0",
        "product-0-name": "Burndown A", "product-0-registration_number": "EPA Reg. No. 123-45", "product-0-rate": "22",
        "product-0-rate_unit": "fl oz", "product-0-reentry_h": "12", "product-0-grazing_days": "14",
        "product-0-planting_none": "on",
    }  # fmt: skip
    return posted | said


def test_a_herbicide_is_asked_for_its_label_and_shown_until_it_has_passed(planting, recorder, owner, farm):
    drilled(planting, owner)
    client = signed_in(recorder)
    now = timezone.localtime()
    posted = spray(done_on=f"{now:%Y-%m-%d}", sprayed_until=f"{now:%Y-%m-%dT%H:%M}")
    answer = client.post(address("terminate", planting), posted | {"product-0-planting_none": ""})
    assert "Give the label’s planting-back interval, or tick that the label gives none." in words(answer)
    assert not Termination.objects.exists()
    answer = client.post(address("terminate", planting), posted)
    said = words(client.get(answer.url))
    assert "The label is the law" in said
    assert "are for certified applicators" in said
    assert "label gives none" in said
    plot = reverse("plot", args=[farm.slug, planting.plot_id])
    assert "Keep out until" in words(client.get(plot))
    assert "No grazing through" in words(client.get(address("record-new", planting)))
    client.post(answer.url, {"act": "strike", "reason": "Not sprayed."})
    assert "Keep out until" not in words(client.get(plot))


def test_nothing_of_a_product_is_filled_in(planting, recorder, owner):
    drilled(planting, owner)
    page = signed_in(recorder).get(address("terminate", planting)).content.decode()
    assert 'name="product-0-name" maxlength="120" autocomplete="off"' in page
    for name in ("registration_number", "rate", "reentry_h", "grazing_days"):
        [field] = [tag for tag in page.split("<input") if f'name="product-0-{name}"' in tag]
        assert "value=" not in field.split(">")[0]


def test_stages_are_in_the_words_of_the_crop(planting, farm, season, make_mixed, recorder, owner):
    drilled(planting, owner)
    mixed = signed_in(recorder).get(address("terminate", planting)).content.decode()
    assert "Anthesis or bloom" in mixed  # oats with clover
    clover = make_mixed("Clover", {"crimson_clover": ("15", None)})
    creek = season.plantings.get(plot__name="Creek")
    assign(season=season, user=owner, assignments=[{"plot_id": creek.plot_id, "blend_id": clover.pk}])
    creek.refresh_from_db()
    page = signed_in(recorder).get(address("terminate", creek)).content.decode()
    assert "First pods" in page
    assert "Anthesis" not in page
    assert "Boot" not in page


def test_what_is_to_follow_stands_on_the_seasons_page_until_it_is_done(
    planting, recorder, owner, season, farm
):
    drilled(planting, owner)
    client = signed_in(recorder)
    posted = {
        "method": "crimped", "done_on": "2026-10-20", "follow_up": "Crimp again", "follow_up_on": "2026-11-01",
        "product-TOTAL_FORMS": "0", "product-INITIAL_FORMS": "0",
    }  # fmt: skip
    answer = client.post(address("terminate", planting), posted)
    page = reverse("season", args=[farm.slug, season.slug])
    day = reverse("planting-day", args=[farm.slug, season.slug])
    assert "North: Crimp again" in words(client.get(page))
    assert "North: Crimp again" in words(client.get(day))
    client.post(answer.url, {"act": "done"})
    assert Termination.objects.get().follow_up_done_on == timezone.localdate()
    assert "Crimp again" not in words(client.get(page)) + words(client.get(day))


def test_the_season_asks_as_much_for_many_plots_as_for_few(
    season, farm, owner, small_property, oats_lot, make_plot
):
    client = signed_in(owner)
    page = reverse("sown", args=[farm.slug, season.slug])
    north = season.plantings.get(plot__name="North")
    drilled(north, owner, {oats_lot: "10"})
    counts = []
    for number in range(2):
        with CaptureQueriesContext(
            connection,
        ) as asked:
            client.get(page)
        counts.append(len(asked))
        plots = [make_plot(f"More {number}-{each}") for each in range(6)]
        given = [{"plot_id": plot.pk, "blend_id": north.blend_id} for plot in plots]
        assign(season=season, user=owner, assignments=given)
        for planting in season.plantings.filter(plot__in=plots):
            drilled(planting, owner, {oats_lot: "10"}, on=date(2026, 9, 12))
    assert counts[0] == counts[1]
