"""What a planting sheet warns of, short enough for one page. The label, the tag and local rules come first."""

from blends.calc import calibration
from blends.calc.tag_findings import names_treatment
from blends.models import Hazard
from blends.queries.judgement.cautions import MIGRATORY_BIRDS, TREATED_SEED
from blends.queries.judgement.words import listed
from blends.queries.sheets.shapes import SheetCaution
from plots.calc.described import COMMON_PRACTICE

_HOW = calibration.TREATED_SEED.removeprefix("Treated seed: ")
_HANDLE = f"{_HOW[0].upper()}{_HOW[1:]}"

MACHINERY = SheetCaution("machinery", "Machine", calibration.MACHINERY, COMMON_PRACTICE)
BIRDS = SheetCaution(
    "sown_seed",
    "Migratory birds",
    "Sow at the dates and rates that the State Extension recommends, spread evenly. No piles: clean up what spills. "
    "State rules differ; those on deer and turkey too.",
    MIGRATORY_BIRDS,
)
READ_THE_TAGS = SheetCaution(
    "treated_seed",
    "Treated seed",
    f"Read every tag for a treatment. {_HANDLE}",
    TREATED_SEED,
)
INOCULANT = SheetCaution(
    "inoculant",
    "Inoculant",
    "It is alive: keep it cool and in the shade, and sow soon after mixing. Some seed treatments kill it; read both labels.",
    COMMON_PRACTICE,
)


def treatment_caution(lots):
    """The caution on treated seed: by name where a chosen lot's tag has one."""
    treated = [lot for lot in lots if names_treatment(lot.treatment)]
    if not treated:
        return READ_THE_TAGS
    named = listed([f"{lot} ({lot.treatment})" for lot in treated])
    return SheetCaution("treated_seed", "Treated seed", f"Treated: {named}. {_HANDLE}", TREATED_SEED)


def hazard_cautions(facts):
    """One caution for each hazard of the species, with their names.

    Parameters
    ----------
    facts : list of SpeciesFacts
    """
    found = []
    for hazard in Hazard:
        names = [str(each.species) for each in facts if hazard.value in (each.hazards.value or "").split()]
        if names:
            found.append(SheetCaution(hazard.value, hazard.label, f"{listed(names)}."))
    return found
