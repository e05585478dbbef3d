"""A blend of two species whose values are round, so that judging it can be worked by hand.

Both are sown at half of the middle of their full rates, 50 of 100 and 25 of 50 lb/ac:

                      alone, lb/ac   here, lb/ac            leafy           mature
    Bench grass       4,000–8,000    2,000–4,000 (3,000)    2 % N, C:N 20   1 % N, C:N 40: 40 % carbon
    Bench pea         2,000–6,000    1,000–3,000 (2,000)    4 % N           3 % N, C:N 14: 42 % carbon

The pea's C:N while leafy is not known: with 42 % carbon it is 10.5.
"""

from decimal import Decimal

from blends.models import Species
from blends.services.blends import save_blend

GRASS = {
    "family": "Poaceae",
    "group": "cool_grass",
    "life_cycle": "annual",
    "seeds_per_lb": 10_000,
    "drill_lb_ac_low": 80,
    "drill_lb_ac_high": 120,
    "depth_in_low": 0.5,
    "depth_in_high": 1.5,
    "min_soil_temp_f": 45,
    "dry_matter_lb_ac_low": 4000,
    "dry_matter_lb_ac_high": 8000,
    "nitrogen_pct_vegetative": 2,
    "nitrogen_pct_mature": 1,
    "cn_vegetative": 20,
    "cn_mature": 40,
    "cover_cm2_per_g": 40,
    "browse_preference": "high",
    "browsed_when": "young",
    "seed_use": "grain",
    "winter_fate": "overwinters",
    "days_to_browse_low": 30,
    "days_to_browse_high": 40,
    "days_to_bloom_low": 60,
    "days_to_bloom_high": 70,
    "days_to_seed_low": 90,
    "days_to_seed_high": 110,
}
PEA = {
    "family": "Fabaceae",
    "group": "warm_legume",
    "life_cycle": "annual",
    "fixes_nitrogen": True,
    "inoculant_group": "cowpea group",
    "seeds_per_lb": 3_000,
    "drill_lb_ac_low": 40,
    "drill_lb_ac_high": 60,
    "depth_in_low": 1,
    "depth_in_high": 2,
    "min_soil_temp_f": 60,
    "dry_matter_lb_ac_low": 2000,
    "dry_matter_lb_ac_high": 6000,
    "nitrogen_pct_vegetative": 4,
    "nitrogen_pct_mature": 3,
    "cn_mature": 14,
    "cover_cm2_per_g": 32,
    "browse_preference": "moderate",
    "browsed_when": "growing",
    "seed_use": "little",
    "winter_fate": "frost_killed",
    "days_to_browse_low": 30,
    "days_to_browse_high": 30,
    "days_to_bloom_low": 50,
    "days_to_bloom_high": 60,
    "days_to_seed_low": 200,
    "days_to_seed_high": 200,
}


def own_species(property, name, values, **instead):
    """A species of the property's own."""
    return Species.objects.create(
        property=property, key=name.lower().replace(" ", "_"), common_name=name, **(values | instead)
    )


def drilled(property, user, name, rates):
    """A blend mixed here of {species: PLS lb/ac drilled, or None}."""
    components = [
        {"species_id": one.pk, "drilled_pls_lb_per_acre": None if rate is None else Decimal(str(rate))}
        for one, rate in rates.items()
    ]
    return save_blend(property=property, user=user, name=name, kind="mixed", components=components)


def two_halves(property, user, grass=GRASS, pea=PEA, name="Halves"):
    """The blend of this module; values can be changed."""
    return drilled(
        property,
        user,
        name,
        {
            own_species(property, "Bench grass", grass): 50,
            own_species(property, "Bench pea", pea): 25,
        },
    )
