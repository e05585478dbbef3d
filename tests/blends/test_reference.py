"""The reference table is what its files say, with a basis for every value, and survives upgrades."""

from decimal import Decimal

import pytest
from django.core.management import call_command

from blends.facts import FACT_FIELDS
from blends.models import Basis, Source, Species
from blends.services.reference import load_reference
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
            assert bool(entry["sources"]) == (entry["basis"] != Basis.MEMORY), (species, name)


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
