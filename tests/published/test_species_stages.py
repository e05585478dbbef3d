"""Days to bloom and to ripe seed of the species table, held against crop data that it was not taken from.

What the table itself took from these sources is left out here.
"""

import csv
from pathlib import Path

import pytest

TABLE = Path(__file__).parents[2] / "fixtures/species/species.csv"
SPECIES = {row["key"]: row for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())}

# ECOCROP, crop environmental requirements, FAO, not dated; a copy of the database in
# https://github.com/OpenCLIM/ecocrop, EcoCrop_DB.csv, commit ea43ecd: GMIN and GMAX, the shortest and the longest
# crop cycle. [days]
ECOCROP_CYCLES = {
    "okra": (50, 180),
    "american_jointvetch": (60, 220),
    "soybean": (75, 180),
    "sunflower": (70, 200),
    "field_pea": (60, 140),
    "cowpea": (30, 240),
    "corn": (65, 365),
    "mung_bean": (50, 120),
    "sunn_hemp": (60, 160),
    "safflower": (120, 245),
    "mustard": (50, 100),
}

# AquaCrop-OSPy crop parameters, crop_params.py, version 3.1.0, AquaCrop-OS, 2026,
# https://github.com/aquacropos/aquacrop, which has them from FAO's AquaCrop: HIstartCD, the start of flowering, and
# MaturityCD. [days from sowing] Of each crop it is one variety in one climate, hence the fortnight.
AQUACROP_FLOWERING = {"sunflower": 78}
AQUACROP_MATURE = {"corn": 132, "sunflower": 127}
FORTNIGHT = 14


def days(key, stage):
    return [int(SPECIES[key][f"days_to_{stage}_{end}"]) for end in ("low", "high")]


@pytest.mark.parametrize(("key", "cycle"), ECOCROP_CYCLES.items())
def test_seed_ripens_within_the_cycles_that_the_crop_is_known_for(key, cycle):
    low, high = days(key, "seed")
    shortest, longest = cycle
    assert shortest - FORTNIGHT <= low
    assert high <= longest + FORTNIGHT


@pytest.mark.parametrize(("key", "day"), AQUACROP_FLOWERING.items())
def test_bloom_is_within_a_fortnight_of_the_models_crop(key, day):
    low, high = days(key, "bloom")
    assert low - FORTNIGHT <= day <= high + FORTNIGHT


@pytest.mark.parametrize(("key", "day"), AQUACROP_MATURE.items())
def test_seed_is_ripe_within_a_fortnight_of_the_models_crop(key, day):
    low, high = days(key, "seed")
    assert low - FORTNIGHT <= day <= high + FORTNIGHT


# Residue parameter file RESCH048.SDA, DSSAT cropping system model, DSSAT Foundation, 2024,
# https://github.com/DSSAT/dssat-csm-os, commit 4744cc4: AM, the ground covered by residue. [cm²/g]
COVER_BY_CLASS = {"legume": 32, "grass": 40, "cereal": 37, "generic": 37, "sorghum": 30}
COVER_OF_ITS_OWN = {
    "cereal_rye": 42,
    "winter_wheat": 45,
    "barley": 40,
    "corn": 30,
    "grain_sorghum": 30,
    "pearl_millet": 30,
    "soybean": 32,
    "cowpea": 32,
    "alfalfa": 32,
    "faba_bean": 32,
    "field_pea": 32,
    "austrian_winter_pea": 32,
    "hairy_vetch": 69,
}
OF_A_CLASS = [key for key in SPECIES if key not in COVER_OF_ITS_OWN]


def class_of(key):
    if key == "sorghum_sudangrass":
        return "sorghum"
    if SPECIES[key]["family"] == "Poaceae":
        return "grass" if key == "annual_ryegrass" else "cereal"
    return "legume" if SPECIES[key]["family"] == "Fabaceae" else "generic"


@pytest.mark.parametrize(("key", "cover"), COVER_OF_ITS_OWN.items())
def test_residue_covers_what_the_model_has_for_the_crop(key, cover):
    assert float(SPECIES[key]["cover_cm2_per_g"]) == cover


@pytest.mark.parametrize("key", OF_A_CLASS)
def test_residue_of_a_crop_that_the_model_lacks_covers_what_its_class_covers(key):
    assert float(SPECIES[key]["cover_cm2_per_g"]) == COVER_BY_CLASS[class_of(key)]
