"""The species table, one species, and a property's own values."""

import pytest
from django.urls import reverse

from blends.models import Species, SpeciesOverride
from blends.services.species import override_value
from tests.blends.pages import signed_in, words


@pytest.fixture
def rye(species):
    return species("cereal_rye")


@pytest.fixture
def as_owner(owner):
    return signed_in(owner)


def address(farm, rye, route="species", field=None):
    found = reverse(route, args=[farm.slug, rye.pk])
    return f"{found}?field={field}" if field else found


def test_list_marks_every_value_with_its_basis(as_owner, farm, rye):
    response = as_owner.get(reverse("species-list", args=[farm.slug]))
    row = words(response).split("Cereal rye", 1)[1].split("Oats", 1)[0].strip()
    assert row.startswith(
        "Secale cereale 18,160 P (Published) 60 – 120 P (Published) 90 – 160 m (From memory"
    )


@pytest.mark.parametrize(
    ("query", "shown", "hidden"),
    [
        ({"q": "clover"}, "Crimson clover", "Cereal rye"),
        ({"q": "secale"}, "Cereal rye", "Crimson clover"),
        ({"group": "brassica"}, "Purple-top turnip", "Cereal rye"),
        ({"q": "clover", "group": "brassica"}, "No species here is called that", "Crimson clover"),
    ],
)
def test_list_is_searched_and_filtered(as_owner, farm, query, shown, hidden):
    text = words(as_owner.get(reverse("species-list", args=[farm.slug]), query))
    text = text.split("species", 1)[1]
    assert shown in text
    assert hidden not in text


def test_page_names_the_source_of_a_value_and_the_caution(as_owner, farm, rye):
    text = words(as_owner.get(address(farm, rye)))
    assert "Seeds per pound 18,160 seeds/lb Published source 1" in text
    assert "PLANTS Database" in text
    assert "Local rules and the label come first." in text


def test_override_names_its_author_and_keeps_the_original(as_owner, farm, rye):
    body = {"value": "18,500", "basis": "measured", "reason": "Counted from our bag"}
    as_owner.post(address(farm, rye, "species-override", "seeds_per_lb"), body)
    text = words(as_owner.get(address(farm, rye)))
    assert "Seeds per pound 18,500 seeds/lb Measured here · owner," in text
    assert "The table says 18,160 (published)" in text


def test_override_that_cannot_be_read_is_said_at_the_field_and_kept(as_owner, farm, rye):
    body = {"value": "about 20", "basis": "yours"}
    response = as_owner.post(address(farm, rye, "species-override", "seeds_per_lb"), body)
    assert "about 20 is not accepted; a number above 0 with at most 2 decimals is." in words(response)
    assert 'value="about 20"' in response.content.decode()
    assert not SpeciesOverride.objects.exists()


def test_override_that_turns_a_range_round_is_refused_in_words(as_owner, farm, rye):
    body = {"value": "200", "basis": "yours"}
    response = as_owner.post(address(farm, rye, "species-override", "drill_lb_ac_low"), body)
    assert "which is above the high value of 120" in words(response)


@pytest.mark.parametrize(("field", "value"), [("browse_preference", "low"), ("fixes_nitrogen", "True")])
def test_choices_can_be_overridden_too(as_owner, farm, rye, field, value):
    as_owner.post(address(farm, rye, "species-override", field), {"value": value, "basis": "yours"})
    assert SpeciesOverride.objects.get().value == value


def test_ended_override_gives_way_to_the_original(as_owner, farm, owner, rye):
    override_value(property=farm, species=rye, user=owner, field="seeds_per_lb", value="18500")
    as_owner.post(address(farm, rye, "species-override", "seeds_per_lb"), {"act": "end"})
    text = words(as_owner.get(address(farm, rye)))
    assert "Seeds per pound 18,160 seeds/lb Published" in text
    assert "Values of yours that no longer count (1)" in text


def test_unknown_value_is_not_shown_as_zero(as_owner, farm, species):
    text = words(as_owner.get(address(farm, species("crimson_clover"))))
    assert "Lowest soil temperature for sowing – not known" in text


def test_own_species_is_added_with_what_is_known(as_owner, farm):
    body = {"common_name": "Hill millet", "group": "warm_grass", "seeds_per_lb": "210,000"}
    response = as_owner.post(reverse("species-new", args=[farm.slug]), body, follow=True)
    assert "Hill millet is in the species list." in words(response)
    assert "Seeds per pound 210,000 seeds/lb Yours" in words(response)
    assert Species.objects.get(common_name="Hill millet").drill_lb_ac_low is None


def test_own_species_needs_a_name_of_its_own(as_owner, farm):
    body = {"common_name": "cereal RYE", "group": "cool_grass"}
    response = as_owner.post(reverse("species-new", args=[farm.slug]), body)
    assert "Not saved: 1 thing to mend" in words(response)
    assert "is already in the species list" in words(response)


def test_viewer_is_offered_no_change(farm, viewer, rye):
    text = words(signed_in(viewer).get(address(farm, rye)))
    assert "Use your own" not in text


def test_page_groups_growth_and_residue_and_names_hazards_in_words(as_owner, farm, species):
    text = words(as_owner.get(address(farm, species("purple_top_turnip"))))
    assert "Hazards Nitrate, bloat, poisonous in quantity. Published in part, the rest from memory" in text
    growth, residue = text.split("Growth and browse", 1)[1].split("Residue", 1)
    assert "Browsed Mostly after frost Common practice, no source" in growth
    assert "In winter Killed in a cold winter Published" in growth
    assert "Ground covered by its residue 37 cm²/g Worked out" in residue


def test_hazards_that_no_caution_names_are_not_said_to_be_none(as_owner, farm, species):
    text = words(as_owner.get(address(farm, species("soybean"))))
    assert "Hazards None named. That does not mean that there are none." in text


@pytest.mark.parametrize(
    ("ticked", "said"), [(["bloat", "nitrate"], "Nitrate, bloat. Yours · owner"), ([], "None named.")]
)
def test_hazards_are_overridden_by_ticking(as_owner, farm, rye, ticked, said):
    here = address(farm, rye, "species-override", "hazards")
    assert 'value="allelopathy"' in as_owner.get(here).content.decode().split("checked", 1)[0][-200:]
    as_owner.post(here, {"value": ticked, "basis": "yours"})
    text = words(as_owner.get(address(farm, rye)))
    assert f"Hazards {said}" in text
    assert "The table says: Holds back small seeds (published in part, the rest from memory)" in text


def test_days_are_overridden_as_whole_numbers(as_owner, farm, rye):
    here = address(farm, rye, "species-override", "days_to_bloom_low")
    response = as_owner.post(here, {"value": "200.5", "basis": "measured"})
    assert "200.5 is not accepted; a whole number from 1 to 1000 is." in words(response)
    as_owner.post(here, {"value": "200", "basis": "measured"})
    assert "Seeding to bloom or heading, low 200 days Measured here" in words(
        as_owner.get(address(farm, rye))
    )


def test_an_ended_override_is_shown_in_words(as_owner, farm, owner, rye):
    override_value(property=farm, species=rye, user=owner, field="winter_fate", value="winter_killed")
    as_owner.post(address(farm, rye, "species-override", "winter_fate"), {"act": "end"})
    assert "In winter Killed in a cold winter: owner," in words(as_owner.get(address(farm, rye)))


def test_own_species_is_added_with_its_stages_and_hazards(as_owner, farm):
    body = {
        "common_name": "Hill millet",
        "group": "warm_grass",
        "days_to_browse_low": "25",
        "seed_use": "small_seed",
        "hazards": ["weedy", "nitrate"],
    }
    as_owner.post(reverse("species-new", args=[farm.slug]), body)
    made = Species.objects.get(common_name="Hill millet")
    assert (made.days_to_browse_low, made.seed_use, made.days_to_seed_low) == (25, "small_seed", None)
    assert set(made.hazards.split()) == {"nitrate", "weedy"}
    assert made.provenance["hazards"]["basis"] == "yours"
