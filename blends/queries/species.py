"""Species as a property sees them: every value with its basis, its sources and its own value beside it."""

from dataclasses import dataclass, field

from blends.access import species_rows
from blends.facts import FACT_FIELDS
from blends.models import Basis, Source, Species, SpeciesOverride


@dataclass(frozen=True)
class Fact:
    """One value of a species.

    Attributes
    ----------
    field, label, unit : str
    value : what counts on this property: the override, else the original; None where unknown
    shown : the value in words where it is a choice
    basis, basis_label : where that value comes from; empty where it is unknown
    sources : list of Source
    override : SpeciesOverride or None
    original : the value of the table
    original_basis_label, original_sources : where the original comes from, also while it is overridden
    """

    field: str
    label: str
    unit: str
    value: object
    shown: object
    basis: str
    basis_label: str
    sources: list
    override: SpeciesOverride | None
    original: object
    original_shown: object
    original_basis_label: str
    original_sources: list


@dataclass(frozen=True)
class SpeciesFacts:
    """A species and its facts by field; a fact can be read as an attribute too: `facts.seeds_per_lb`."""

    species: Species
    facts: dict = field(default_factory=dict)

    def __getattr__(self, name):
        try:
            return self.__dict__["facts"][name]
        except KeyError:
            raise AttributeError(name) from None

    @property
    def has_override(self):
        return any(fact.override for fact in self.facts.values())


def species_facts(property, species=None):
    """Species that the property sees, in the order of their names; three queries.

    Parameters
    ----------
    property : Property
    species : iterable of Species or of ids, optional
        Only these; all when left out.

    Returns
    -------
    list of SpeciesFacts
    """
    rows = species_rows(property)
    overrides = SpeciesOverride.objects.filter(property=property, ended_at=None).select_related("author")
    if species is not None:
        ids = [getattr(one, "pk", one) for one in species]
        rows, overrides = rows.filter(pk__in=ids), overrides.filter(species__in=ids)
    sources = Source.objects.in_bulk()
    by_species = {}
    for override in overrides:
        by_species.setdefault(override.species_id, {})[override.field] = override
    return [_facts(row, by_species.get(row.pk, {}), sources) for row in rows]


def override_history(property, species):
    """Every override that the property has made on the species, the newest first, ended ones too."""
    return SpeciesOverride.objects.filter(property=property, species=species).select_related("author")


def _facts(species, overrides, sources):
    facts = {}
    for name, column in FACT_FIELDS.items():
        original = getattr(species, name)
        original = None if original == "" else original
        entry = species.provenance.get(name, {})
        original_basis = "" if original is None else entry.get("basis", "")
        original_sources = [sources[key] for key in entry.get("sources", []) if key in sources]
        override = overrides.get(name)
        value = original if override is None else column.cleaned(override.value)
        basis = original_basis if override is None else override.basis
        facts[name] = Fact(
            field=name,
            label=column.label,
            unit=column.unit,
            value=value,
            shown=column.shown(value),
            basis=basis,
            basis_label=_basis_label(basis),
            sources=original_sources if override is None else [],
            override=override,
            original=original,
            original_shown=column.shown(original),
            original_basis_label=_basis_label(original_basis),
            original_sources=original_sources,
        )
    return SpeciesFacts(species, facts)


def _basis_label(basis):
    return Basis(basis).label if basis else ""
