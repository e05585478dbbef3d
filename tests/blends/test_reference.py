"""The reference table is what its files say, with a basis for every value, and survives upgrades."""

import re
from collections import Counter
from decimal import Decimal

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from blends.calc.feeding import Habit, missing_days
from blends.facts import FACT_FIELDS
from blends.models import Basis, Hazard, Source, Species
from blends.services.reference import _species_rows, load_reference
from blends.services.species import add_species, override_value

pytestmark = pytest.mark.django_db


def test_table_holds_49_species():
    assert Species.objects.filter(property=None).count() == 49


def test_every_value_has_a_basis_and_no_basis_stands_alone():
    for species in Species.objects.filter(property=None):
        known = {name for name in FACT_FIELDS if getattr(species, name) not in (None, "")}
        assert set(species.provenance) == known, species


def test_sources_are_named_exactly_where_something_was_published():
    keys = set(Source.objects.values_list("key", flat=True))
    for species in Species.objects.filter(property=None):
        for name, entry in species.provenance.items():
            assert set(entry["sources"]) <= keys, (species, name)
            has_none = entry["basis"] in (Basis.MEMORY, Basis.COMMON_PRACTICE)
            assert bool(entry["sources"]) != has_none, (species, name)


def test_readme_counts_the_values_of_every_basis():
    readme = (settings.BASE_DIR / "fixtures/species/README.md").read_text(encoding="utf-8")
    said = {basis: int(count) for basis, count in re.findall(r"^\| `(\w+)` \|.*\| (\d+) \|$", readme, re.M)}
    provenances = Species.objects.filter(property=None).values_list("provenance", flat=True)
    assert said == Counter(entry["basis"] for each in provenances for entry in each.values())


@pytest.mark.parametrize(
    ("key", "field", "value"),
    [
        # PLANTS Database, characteristics data, USDA-NRCS
        ("cereal_rye", "seeds_per_lb", "18160"),
        ("white_clover", "seeds_per_lb", "776000"),
        # Cover crops: cereal rye, crimson clover, University of Georgia: 60-120 and 15-18 lb/ac drilled
        ("cereal_rye", "drill_lb_ac_high", "120"),
        ("crimson_clover", "drill_lb_ac_low", "15"),
        # Carbon to Nitrogen Ratios in Cropping Systems, USDA-NRCS, 2011: rye 26 leafy, 37 at flowering
        ("cereal_rye", "cn_vegetative", "26"),
        # Residue parameter file RESCH048.SDA, DSSAT cropping system model, DSSAT Foundation, 2024
        ("cereal_rye", "cover_cm2_per_g", "42"),
        ("hairy_vetch", "cover_cm2_per_g", "69"),
        # ECOCROP, FAO: buckwheat's crop cycle, 55 to 85 days
        ("buckwheat", "days_to_seed_low", "55"),
        ("buckwheat", "days_to_seed_high", "85"),
    ],
)
def test_value_is_the_published_one(key, field, value):
    species = Species.objects.get(key=key, property=None)
    assert getattr(species, field) == Decimal(value)
    assert species.provenance[field]["basis"] == Basis.PUBLISHED


def test_lows_are_not_above_highs():
    for species in Species.objects.filter(property=None):
        for name in FACT_FIELDS:
            if name.endswith("_low"):
                high = getattr(species, name.removesuffix("low") + "high")
                assert getattr(species, name) <= high, (species, name)


# What in a row's cautions stands for a hazard, and what only sounds like it.
HAZARD_WORDS = {
    Hazard.PRUSSIC_ACID: r"(?<!no )prussic acid",
    Hazard.NITRATE: r"nitrate",
    Hazard.PHOTOSENSITIZATION: r"photosensitization",
    Hazard.BLOAT: r"bloat",
    Hazard.POISON: r"\btoxic|dangerous|cystitis|not for horses|slaframine|anaemia|thyroid|irritant oils",
    Hazard.WEEDY: r"weedy|\ba (common )?weed|volunteers|noxious",
    Hazard.ALLELOPATHY: r"allelopath",
}


@pytest.mark.parametrize("hazard", Hazard.values)
def test_hazards_are_what_the_cautions_name(hazard):
    reference = Species.objects.filter(property=None)
    named = {
        row.key for row in reference if re.search(HAZARD_WORDS[Hazard(hazard)], row.cautions.replace("(", ""))
    }
    assert named == {row.key for row in reference if hazard in row.hazards.split()}
    assert named


def test_hazards_rest_on_what_the_cautions_rest_on():
    for species in Species.objects.filter(property=None).exclude(hazards=""):
        assert species.provenance["hazards"] == species.provenance["cautions"], species


@pytest.mark.parametrize("end", ["low", "high"])
def test_first_browse_bloom_and_seed_come_in_this_order(end):
    for species in Species.objects.filter(property=None):
        days = [getattr(species, f"days_to_{stage}_{end}") for stage in ("browse", "bloom", "seed")]
        assert days == sorted(days), species


def test_every_species_has_a_place_in_the_calendar():
    for species in Species.objects.filter(property=None):
        habit = Habit(
            days_to_browse=species.days_to_browse_low,
            days_to_bloom=species.days_to_bloom_low,
            days_to_seed=species.days_to_seed_low,
            browsed_when=species.browsed_when,
            seed_use=species.seed_use,
            winter_fate=species.winter_fate,
            life_cycle=species.life_cycle,
        )
        assert missing_days(habit) == [], species


def test_days_hold_a_winter_exactly_where_the_species_is_sown_before_it():
    """As the table's README says; the warm season's are killed by frost, so a winter cannot be in their days."""
    spring_sown = {"field_pea", "faba_bean", "mustard", "flax", "phacelia"}
    for species in Species.objects.filter(property=None):
        is_before_winter = not species.group.startswith("warm") and species.key not in spring_sown
        assert (species.days_to_bloom_low > 200) == is_before_winter, species
        assert (species.winter_fate == "frost_killed") == species.group.startswith("warm"), species


def test_an_earlier_state_of_the_columns_is_loaded_too(db):
    """A migration back runs with the model of that time, which lacks the columns of today."""
    executor = MigrationExecutor(connection)
    old = executor.loader.project_state([("blends", "0001_initial")]).apps.get_model("blends", "Species")
    [rye] = [row for row in _species_rows(old) if row["key"] == "cereal_rye"]
    assert "hazards" not in rye
    assert "hazards" not in rye["provenance"]
    assert rye["seeds_per_lb"] == 18160


def test_migrating_again_mends_a_value_and_leaves_the_propertys_own_alone(farm, owner):
    rye = Species.objects.get(key="cereal_rye", property=None)
    override_value(property=farm, species=rye, user=owner, field="seeds_per_lb", value="17000")
    own = add_species(property=farm, user=owner, common_name="Our millet", group="warm_grass")
    Species.objects.filter(pk=rye.pk).update(seeds_per_lb=1)

    call_command("migrate", verbosity=0)

    rye.refresh_from_db()
    assert rye.seeds_per_lb == 18160
    assert rye.overrides.get().value == "17000"
    assert Species.objects.filter(pk=own.pk).exists()


def test_loading_again_writes_nothing(django_assert_num_queries):
    with django_assert_num_queries(4):  # two reads and the savepoint around them
        load_reference(Species, Source)
