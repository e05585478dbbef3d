from decimal import Decimal

import pytest

from blends.models import Species
from blends.queries import override_history, species_facts
from blends.services.species import add_species, end_override, override_value
from config.errors import Conflict, Refused


@pytest.fixture
def rye(species):
    return species("cereal_rye")


def facts_of(property, species):
    return species_facts(property, [species])[0]


def test_fact_names_its_source(farm, rye):
    fact = facts_of(farm, rye).seeds_per_lb
    assert (fact.value, fact.unit, fact.basis_label) == (18160, "seeds/lb", "Published")
    assert [source.publisher for source in fact.sources] == ["USDA-NRCS"]


def test_unknown_value_stays_unknown(farm, species):
    fact = facts_of(farm, species("crimson_clover")).min_soil_temp_f
    assert (fact.value, fact.basis_label, fact.sources) == (None, "", [])


def test_override_counts_names_its_author_and_keeps_the_original(farm, owner, rye):
    override_value(
        property=farm, species=rye, user=owner, field="seeds_per_lb", value="17000", reason="Counted"
    )
    fact = facts_of(farm, rye).seeds_per_lb
    assert (fact.value, fact.basis_label, fact.sources) == (Decimal("17000.00"), "Yours", [])
    assert (fact.override.author, fact.override.reason) == (owner, "Counted")
    assert (fact.original, fact.original_basis_label) == (18160, "Published")


def test_override_holds_on_its_own_property_alone(farm, elsewhere, owner, rye):
    override_value(property=farm, species=rye, user=owner, field="seeds_per_lb", value="17000")
    assert facts_of(elsewhere, rye).seeds_per_lb.value == 18160


def test_second_override_ends_the_first_and_keeps_it_on_record(farm, owner, manager, rye):
    override_value(property=farm, species=rye, user=owner, field="seeds_per_lb", value="17000")
    override_value(property=farm, species=rye, user=manager, field="seeds_per_lb", value="17500")
    assert facts_of(farm, rye).seeds_per_lb.override.author == manager
    assert [row.ended_at is None for row in override_history(farm, rye)] == [True, False]


def test_ended_override_brings_the_original_back(farm, owner, rye):
    override = override_value(property=farm, species=rye, user=owner, field="seeds_per_lb", value="17000")
    end_override(override=override)
    assert facts_of(farm, rye).seeds_per_lb.value == 18160
    with pytest.raises(Conflict):
        end_override(override=override)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("seeds_per_lb", "many", "Seeds per pound is “many”"),
        ("seeds_per_lb", "-3", "Seeds per pound is “-3”"),
        ("seeds_per_lb", "", "A value is needed"),
        ("nitrogen_pct_mature", "120", "Nitrogen when mature is “120”"),
        ("group", "tree", "Functional group is “tree”"),
        ("drill_lb_ac_low", "130", "Full rate drilled, low is 130, which is above the high value of 120"),
        ("days_to_bloom_low", "0", "Seeding to bloom or heading, low is “0”"),
        ("days_to_seed_low", "999", "which is above the high value of 310"),
        ("hazards", "bloat venom", "Hazards is “bloat venom”: venom is not accepted; prussic_acid, nitrate"),
        ("property", "1", "“property” is not a value of a species"),
    ],
)
def test_override_that_cannot_be_is_refused_in_a_sentence(farm, owner, rye, field, value, said):
    with pytest.raises(Refused) as refused:
        override_value(property=farm, species=rye, user=owner, field=field, value=value)
    assert said in refused.value.sentence
    assert not rye.overrides.exists()


@pytest.mark.parametrize(
    ("value", "counts", "shown"),
    [("weedy bloat", "bloat weedy", "Bloat, may become a weed"), ("none", "", "None named")],
)
def test_hazards_are_given_by_their_keys_or_as_none(farm, owner, rye, value, counts, shown):
    override_value(property=farm, species=rye, user=owner, field="hazards", value=value)
    fact = facts_of(farm, rye).hazards
    assert (fact.value, fact.shown, fact.original_shown) == (counts, shown, "Holds back small seeds")


def test_override_of_another_propertys_species_is_refused(farm, elsewhere, owner, stranger):
    theirs = add_species(property=elsewhere, user=stranger, common_name="Their millet", group="warm_grass")
    with pytest.raises(Refused, match="another property"):
        override_value(property=farm, species=theirs, user=owner, field="seeds_per_lb", value="9")


def test_own_species_is_seen_by_its_property_alone(farm, elsewhere, owner):
    own = add_species(
        property=farm, user=owner, common_name="Hill millet", group="warm_grass", seeds_per_lb=Decimal(90000)
    )
    fact = facts_of(farm, own).seeds_per_lb
    assert (fact.value, fact.basis_label) == (90000, "Yours")
    assert own.provenance["seeds_per_lb"]["author"] == owner.shown_name
    assert species_facts(elsewhere, [own]) == []


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"common_name": "Cereal rye", "group": "cool_grass"}, "already in the species list"),
        ({"common_name": "", "group": "cool_grass"}, "blank"),
        ({"common_name": "Hill millet", "group": "tree"}, "tree"),
        ({"common_name": "Hill millet", "group": "warm_grass", "seeds_per_lb": Decimal(-1)}, "0.0001"),
        ({"common_name": "Hill millet", "group": "warm_grass", "colour": "red"}, "“colour”"),
    ],
)
def test_species_that_cannot_be_is_refused(farm, owner, values, said):
    with pytest.raises(Refused, match=said):
        add_species(property=farm, user=owner, **values)
    assert not Species.objects.filter(property=farm).exists()
