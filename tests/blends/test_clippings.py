"""Clippings: what is accepted, what a person is told, what they come to, by service, page and API."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from blends.models import Clipping
from blends.queries import draft_of
from blends.queries.judgement import judge
from blends.services.clippings import delete_clipping, record_clipping
from config.errors import Refused
from tests.blends.pages import signed_in, words

CLIPPED = {
    "stage": "mature",
    "clipped_on": date(2026, 4, 20),
    "frames": 3,
    "frame_ft2": Decimal("2.4"),
    "dry_g": Decimal(360),
}


@pytest.fixture
def rye(make_mixed):
    return make_mixed("Rye", {"cereal_rye": ("60", None)})


@pytest.fixture
def clip(rye, owner, species):
    """clip(**instead) -> a clipping of the rye."""

    def clip(**instead):
        return record_clipping(
            blend=rye, user=owner, **({"species_id": species("cereal_rye").pk} | CLIPPED | instead)
        )

    return clip


def form_of(species, **instead):
    body = {
        "act": "clip",
        "clip-species_id": species.pk,
        "clip-stage": "mature",
        "clip-clipped_on": "2026-04-20",
        "clip-frames": "3",
        "clip-frame_ft2": "2.4",
        "clip-dry_g": "360",
        "clip-wet_g": "",
    }
    return body | {f"clip-{name}": value for name, value in instead.items()}


def test_pounds_an_acre_follow_from_grams_and_frames(clip):
    """360 g from 3 × 2.4 ft² are 50 g/ft²; a gram on a square foot is 96.03 lb/ac (by definition)."""
    assert clip().dry_lb_per_acre == pytest.approx(50 * 96.0333, rel=1e-5)


def test_clipping_goes_before_the_table(clip, farm, rye):
    before = judge(farm, draft_of(rye)).residues["mature"].dry_matter_lb_per_acre
    row = clip()
    after = judge(farm, draft_of(rye)).residues["mature"].dry_matter_lb_per_acre
    assert before.low < before.high
    assert after.low == after.high == pytest.approx(row.dry_lb_per_acre)


def test_clipping_that_is_taken_away_no_longer_counts(clip, farm, rye):
    before = judge(farm, draft_of(rye)).residues["mature"].dry_matter_lb_per_acre
    delete_clipping(clipping=clip())
    assert judge(farm, draft_of(rye)).residues["mature"].dry_matter_lb_per_acre == before


@pytest.mark.parametrize(
    ("instead", "field", "said"),
    [
        ({"wet_g": Decimal(100)}, "dry_g", "Dry weight is 360 g and fresh weight 100 g"),
        ({"frames": 0}, "frames", "greater than or equal to 1"),
        ({"frame_ft2": Decimal(0)}, "frame_ft2", "greater than"),
        ({"dry_g": Decimal(-1)}, "dry_g", "greater than or equal to 0"),
        ({"stage": "ripe"}, "stage", "ripe"),
        ({"species_id": 0}, "species_id", "Species 0 is not in Rye; accepted are Cereal rye."),
    ],
)
def test_value_that_cannot_be_used_is_refused_at_its_field(clip, instead, field, said):
    with pytest.raises(Refused) as refusal:
        clip(**instead)
    assert said in refusal.value.fields[field][0]


def test_day_that_is_still_to_come_is_refused(clip):
    tomorrow = timezone.localdate() + timedelta(days=1)
    with pytest.raises(Refused, match="which is still to come; accepted is today at the latest"):
        clip(clipped_on=tomorrow)


def test_plot_of_another_property_is_refused(clip, make_plot, elsewhere):
    with pytest.raises(Refused, match="another property"):
        clip(plot=make_plot("Far", property=elsewhere))


# --- the page ---------------------------------------------------------------------------------------------------


def test_recorder_adds_a_clipping_on_the_blend_page(recorder, farm, rye, species):
    client = signed_in(recorder)
    response = client.post(
        reverse("blend", args=[farm.slug, rye.pk]), form_of(species("cereal_rye")), follow=True
    )
    text = words(response)
    assert "The clipping of Cereal rye is kept: 4,802 lb/ac of dry matter." in text
    assert Clipping.objects.get().created_by == recorder


def test_refusal_stands_at_its_field_and_keeps_what_was_typed(recorder, farm, rye, species):
    client = signed_in(recorder)
    response = client.post(
        reverse("blend", args=[farm.slug, rye.pk]), form_of(species("cereal_rye"), wet_g="100")
    )
    assert "accepted is a dry weight that is not above the fresh one" in words(response)
    assert 'value="100"' in response.content.decode()
    assert not Clipping.objects.exists()


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("stage", "", "Choose the stage at which it was clipped."),
        ("clipped_on", "", "A day such as 2026-09-12 is needed."),
        ("clipped_on", "yesterday", "yesterday is not accepted; a day such as 2026-09-12 is."),
        ("frames", "0", "0 is not accepted; a whole number from 1 to 1000 is."),
        ("frame_ft2", "-1", "-1 is not accepted; a number above 0 with at most 3 decimals is."),
        ("dry_g", "abc", "abc is not accepted; a number of 0 or more with at most 2 decimals is."),
    ],
)
def test_what_cannot_be_used_is_said_at_its_field(recorder, farm, rye, species, name, typed, sentence):
    body = form_of(species("cereal_rye"), **{name: typed})
    response = signed_in(recorder).post(reverse("blend", args=[farm.slug, rye.pk]), body)
    assert response.context["clipping"].errors[name] == [sentence]
    assert not Clipping.objects.exists()


def test_viewer_sees_clippings_but_no_form(viewer, farm, rye, clip):
    clip()
    response = signed_in(viewer).get(reverse("blend", args=[farm.slug, rye.pk]))
    assert "4,802" in words(response)
    assert "clip-dry_g" not in response.content.decode()


def test_recorder_takes_a_clipping_away(recorder, farm, rye, clip):
    row = clip()
    body = {"act": "unclip", "clipping": row.pk}
    response = signed_in(recorder).post(reverse("blend", args=[farm.slug, rye.pk]), body, follow=True)
    assert "is taken away" in words(response)
    assert not Clipping.objects.exists()


# --- the API ----------------------------------------------------------------------------------------------------


def test_api_keeps_lists_and_deletes(recorder, farm, rye, species):
    client = signed_in(recorder)
    address = reverse("api-clippings", args=[farm.slug, rye.pk])
    body = {
        "species_id": species("cereal_rye").pk,
        "stage": "mature",
        "clipped_on": "2026-04-20",
        "frames": 3,
        "frame_ft2": "2.4",
        "dry_g": "360",
    }
    made = client.post(address, body, "application/json")
    assert made.status_code == 201
    assert made.json()["dry_lb_per_acre"] == pytest.approx(4801.66, abs=0.01)
    assert client.get(address).json()["results"] == [made.json()]
    gone = client.delete(reverse("api-clipping", args=[farm.slug, rye.pk, made.json()["id"]]))
    assert gone.status_code == 204
    assert not Clipping.objects.exists()


def test_api_refuses_in_the_same_words(recorder, farm, rye, species):
    address = reverse("api-clippings", args=[farm.slug, rye.pk])
    body = {
        "species_id": species("oats").pk,
        "stage": "mature",
        "clipped_on": "2026-04-20",
        "frames": 3,
        "frame_ft2": "2.4",
        "dry_g": "360",
    }
    answer = signed_in(recorder).post(address, body, "application/json")
    assert answer.status_code == 400
    assert "is not in Rye; accepted are Cereal rye." in answer.json()["error"]["message"]
