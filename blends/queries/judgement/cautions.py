"""Hazards of the species in a blend, and the rules that always apply. Never veterinary or legal advice."""

from blends.models import Hazard, Species
from blends.queries.judgement.parts import fact_of, value_of
from blends.queries.judgement.shapes import Caution
from blends.queries.judgement.words import listed
from plots.calc.described import COMMON_PRACTICE, MEMORY, Source

SMALL_SEED_PER_LB = 100_000
"""From how many seeds a pound a species counts as small-seeded; ours, no source gives one. [seeds/lb]"""

TREATED_SEED = Source(
    "7 CFR 201.31a, labeling treated seed",
    "US Code of Federal Regulations",
    address="https://www.ecfr.gov/current/title-7/section-201.31a",
)
MIGRATORY_BIRDS = Source(
    "50 CFR 20.11 and 20.21(i), migratory bird hunting",
    "US Code of Federal Regulations",
    address="https://www.ecfr.gov/current/title-50/section-20.21",
)
_FROM_MEMORY = Source(
    "What the hazard is", basis=MEMORY, note="The species' own cautions have their sources."
)

_SENTENCES = {
    Hazard.PRUSSIC_ACID: "Young, drought-stressed or frosted growth can hold enough prussic acid to kill livestock.",
    Hazard.NITRATE: "Drought, cold or much nitrogen can leave nitrate in the stems that poisons livestock.",
    Hazard.PHOTOSENSITIZATION: "Light-skinned livestock that eat it can burn in the sun.",
    Hazard.BLOAT: "Cattle and sheep can bloat on lush growth.",
    Hazard.POISON: "Poisonous to livestock or people in quantity.",
    Hazard.WEEDY: "Can come back as a weed: kill it before it seeds, and ask which lists of noxious weeds it is on.",
    Hazard.ALLELOPATHY: "Its residue can hold back small seed that is sown with it or soon after it.",
}


def cautions_of(figures):
    """Cautions for a blend: hazards of its species first, then the rules that always apply.

    Parameters
    ----------
    figures : BlendFigures

    Returns
    -------
    list of Caution
    """
    found = []
    for hazard in Hazard:
        rows = [row for row in figures.rows if hazard in (value_of(row, "hazards") or "").split()]
        if rows:
            found.append(_hazard(hazard, rows, figures))
    return [*found, *_others(figures), *_rules(figures)]


def _hazard(hazard, rows, figures):
    said = _SENTENCES[hazard]
    if hazard == Hazard.ALLELOPATHY:
        said += _small_seeds(rows, figures)
    return _of_species(hazard.value, hazard.label, said, rows, "hazards", "cautions", sources=[_FROM_MEMORY])


def _of_species(key, label, sentence, rows, *names, sources=()):
    """A caution on some species, with the words, the sources and the basis of what the table says of them."""
    facts = [fact_of(row, name) for row in rows for name in names]
    found = [source for fact in facts for source in fact.sources]
    return Caution(
        key=key,
        label=label,
        sentence=sentence,
        species=[row.species for row in rows],
        sources=[*dict.fromkeys(found), *sources],
        basis_label="; ".join(dict.fromkeys(fact.basis_label for fact in facts if fact.basis_label)),
        words=[(row.species, fact_of(row, "cautions")) for row in rows if value_of(row, "cautions")],
    )


def _others(figures):
    """What the table says of species without a hazard of the list, and species of which it says nothing."""
    rows = [row for row in figures.rows if not value_of(row, "hazards")]
    told = [row for row in rows if value_of(row, "cautions")]
    silent = [
        row for row in rows if not value_of(row, "cautions") and fact_of(row, "hazards").override is None
    ]
    found = []
    if told:
        found.append(_of_species("other", "Other cautions", "What the table says of each.", told, "cautions"))
    if silent:
        said = "Of these no hazard is recorded, which does not say that there is none."
        found.append(_of_species("unknown", "Hazards not known", said, silent))
    return found


def _small_seeds(rows, figures):
    own = {row.species.pk for row in rows}
    others = [row for row in figures.rows if row.species.pk not in own]
    unknown = [row.species for row in others if value_of(row, "seeds_per_lb") is None]
    small = [row.species for row in others if (value_of(row, "seeds_per_lb") or 0) > SMALL_SEED_PER_LB]
    mark = f"more than {SMALL_SEED_PER_LB:,} seeds a pound, which counts as small here."
    said = (
        f" Here: {listed(small)}, of {mark}" if small else f" No other species here is known to have {mark}"
    )
    return f"{said} The seeds per pound of {listed(unknown)} are not known." if unknown else said


def _rules(figures):
    # A use of the seed that is not known might be grain: the rule is said.
    eaten = [row.species for row in figures.rows if value_of(row, "seed_use") != Species.SeedUse.LITTLE]
    rules = [
        Caution(
            "treated_seed",
            "Treated seed",
            "Read the tag: it has to name the treatment. Never feed treated seed, leave it exposed or put it out as "
            "bait; clean up what is spilled.",
            [],
            [TREATED_SEED],
        ),
        Caution(
            "sown_seed",
            "Sown seed and migratory birds",
            "Seed may lie on ground where migratory birds are hunted only as normal planting leaves it: at the dates and "
            "rates and on the seedbed that the State Extension recommends, spread evenly, with no piles. Seed sown on "
            "top is judged the same way. Keep dates, rates and receipts.",
            [],
            [MIGRATORY_BIRDS],
        ),
    ]
    if eaten:
        rules.append(
            Caution(
                "manipulated_grain",
                "Grain and migratory birds",
                "Standing crops that nobody harvested may be hunted over. Knocked-down or spread grain can make the "
                "ground a baited area for migratory birds, until 10 days after all of it is gone; a crop may be "
                "manipulated before doves, but not before waterfowl unless it was harvested first.",
                eaten,
                [MIGRATORY_BIRDS],
            )
        )
    return [
        *rules,
        Caution(
            "local_rules",
            "Local rules and the label come first",
            "States have rules of their own on baiting, seed and weeds. The tag and the label bind whoever uses them. "
            "All of this is information, not legal advice.",
            [],
            [COMMON_PRACTICE],
        ),
    ]
