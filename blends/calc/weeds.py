"""What a mulch of residue does to weeds.

Two things are told apart: weed *biomass*, what weeds weigh, and weed *numbers*, how many come up. A mulch may
halve the first and leave the second.
"""

from dataclasses import dataclass

import numpy as np

from plots.calc.described import BadInput, Quantity, Source, described
from plots.calc.units import kg_per_ha_to_lb_per_acre, lb_per_acre_to_kg_per_ha

BIOMASS, NUMBERS = "biomass", "numbers"

MIDWEST = Source(
    "Cover crops and weed suppression in the U.S. Midwest: a meta-analysis and modeling study, Agricultural & "
    "Environmental Letters 5:e20022",
    "Wiley, with ASA, CSSA and SSSA",
    "2020",
    "https://digitalcommons.unl.edu/agronomyfacpub/1396/",
)
NORTH_CAROLINA = Source(
    "Weed suppression and soybean yield in a no-till cover-crop mulched system as influenced by six rye cultivars, "
    "Renewable Agriculture and Food Systems",
    "Cambridge University Press",
    "2016",
    "http://journals.cambridge.org/action/displayAbstract?aid=9986864&fulltextType=RA&fileId=S1742170515000344",
    note="The abstract was seen.",
)
ECOLOGICAL_MANAGEMENT = Source(
    "Ecological Management of Agricultural Weeds",
    "Cambridge University Press",
    "2001",
    "http://what-when-how.com/Tutorial/topic-1343hq5/Ecological-Management-of-Agricultural-Weeds-261.html",
)
MULCH_LIMITS = (
    "For mulch that lies flat and even and is there when the weeds come up.",
    "Perennial and large-seeded weeds push through it.",
)


@dataclass(frozen=True)
class WeedThreshold:
    """A published mass of residue that holds weeds.

    Attributes
    ----------
    key, label : str
    what : str
        `BIOMASS` or `NUMBERS`.
    lb_per_acre : float
        From which it was seen to work.
    up_to_lb_per_acre : float
        To which the source's figure reaches; the same where it gives one.
    needs_grass : bool
        Whether only grass residue did it.
    sentence : str
        What was found and where it ends.
    source : Source
    """

    key: str
    label: str
    what: str
    lb_per_acre: float
    up_to_lb_per_acre: float
    needs_grass: bool
    sentence: str
    source: Source


def _threshold(key, label, what, kg_per_ha, sentence, source, up_to_kg_per_ha=None, needs_grass=False):
    return WeedThreshold(
        key,
        label,
        what,
        kg_per_ha_to_lb_per_acre(kg_per_ha),
        kg_per_ha_to_lb_per_acre(up_to_kg_per_ha or kg_per_ha),
        needs_grass,
        sentence,
        source,
    )


THRESHOLDS = (
    _threshold(
        "weed-biomass-75",
        "75 % less weed biomass",
        BIOMASS,
        5000,
        "Weeds weighed 75 % less, between corn and soybeans in the Midwest. Only grass covers did it, and as many "
        "weeds came up as without.",
        MIDWEST,
        needs_grass=True,
    ),
    _threshold(
        "rye-control",
        "Excellent weed control by rye",
        BIOMASS,
        9000,
        "Above this, rolled rye in North Carolina gave excellent weed control, judged by what weeds cover and not by a "
        "count. Only rye was tried.",
        NORTH_CAROLINA,
        needs_grass=True,
    ),
    _threshold(
        "small-seeded",
        "Fewer small-seeded weeds come up",
        NUMBERS,
        5000,
        "It takes roughly 4,500 to 8,900 lb/ac (5 to 10 Mg/ha) to keep small-seeded weeds down; covers often grow only "
        "1,800 to 3,600.",
        ECOLOGICAL_MANAGEMENT,
        up_to_kg_per_ha=10_000,
    ),
)

MOSTLY_GRASS = 0.5
"""Share of the dry matter above which a blend counts as mostly grass: ours, no source gives one."""


def grass_share(dry_matter_lb_per_acre, is_grass):
    """Part of a blend's dry matter that is grass, on which the first threshold hangs.

    Parameters
    ----------
    dry_matter_lb_per_acre : array_like, shape (..., species)
        0 or more. [lb/acre]
    is_grass : array_like of bool, shape (..., species)
        Whether the species is of the grass family.

    Returns
    -------
    float or ndarray
        [-]; NaN where a dry matter is missing.

    Raises
    ------
    BadInput
        A negative dry matter; none for any component.

    References
    ----------
    By definition.

    Examples
    --------
    >>> grass_share([[3000, 1000], [3000, None]], [True, False])
    array([0.75,  nan])
    """
    mass = Quantity("dry_matter_lb_per_acre", "Dry matter", "lb/acre", least=0, is_list=True).checked(
        dry_matter_lb_per_acre
    )
    total = mass.sum(axis=-1)
    if (total == 0).any():
        raise BadInput(
            "dry_matter_lb_per_acre",
            "Dry matter is 0 for every component; accepted is more than 0 for at least one",
        )
    return ((mass * np.asarray(is_grass, dtype=bool)).sum(axis=-1) / total)[()]


@described(
    title="Mulch area index",
    topic="residue",
    inputs=[
        Quantity("specific_area_cm2_per_g", "Area of a gram of mulch", "cm²/g", least=0, example=60),
        Quantity("dry_matter_lb_per_acre", "Dry matter", "lb/acre", least=0, example=6000),
    ],
    answer=Quantity("mulch_area_index", "Mulch area index", "m²/m²", decimals=2),
    formula="area of a gram × dry matter",
    sources=[ECOLOGICAL_MANAGEMENT],
    notes=[
        "The area of the mulch itself, measured; not the coefficient that residue cover uses.",
        "The example is no published figure.",
    ],
)
def mulch_area_index(specific_area_cm2_per_g, dry_matter_lb_per_acre):
    """Area of mulch over each area of ground.

    Examples
    --------
    >>> mulch_area_index([60, None], 6000).round(2)
    array([4.04,  nan])
    """
    cm2_per_g_to_ha_per_kg = 1e-5
    return specific_area_cm2_per_g * cm2_per_g_to_ha_per_kg * lb_per_acre_to_kg_per_ha(dry_matter_lb_per_acre)


@described(
    title="Weeds that come up through a mulch",
    topic="residue",
    inputs=[
        Quantity(
            "weed_coefficient",
            "Coefficient of the weed and the mulch",
            least=0,
            example=0.5,
            help="Yours, from a count with and without mulch; the example is no published figure.",
        ),
        Quantity("mulch_area_index", "Mulch area index", "m²/m²", least=0, example=4),
    ],
    answer=Quantity("emergence_fraction", "Weeds that come up, of 1", decimals=2),
    formula="exp(−coefficient × mulch area index)",
    sources=[ECOLOGICAL_MANAGEMENT],
    notes=[
        "Only the form is published here: the fitted coefficients were not seen, and none is supplied.",
        "Pigweed is the most sensitive, then lambsquarters, giant foxtail and velvetleaf.",
        *MULCH_LIMITS,
        "Of those that would come up without mulch; what they weigh is another matter.",
    ],
)
def emergence_fraction(weed_coefficient, mulch_area_index):
    """Part of the weeds that come up through a mulch, by number.

    Examples
    --------
    >>> emergence_fraction(0.5, [4, 0, None]).round(4)
    array([0.1353, 1.    ,    nan])
    """
    return np.exp(-weed_coefficient * mulch_area_index)
