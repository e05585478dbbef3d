"""Seed by volume: what a cubic foot of it weighs, from the bushel and for a mixture.

A box meters volume, and a hopper holds volume; rates are weights. An unknown weight of a bushel stays unknown: the mix
that has it is unknown too.
"""

import numpy as np

from plots.calc.described import DEFINITION, PRACTICE, WORKED_OUT, Quantity, Source, described

CUBIC_INCHES_PER_BUSHEL = 2150.42
FT3_PER_BUSHEL = CUBIC_INCHES_PER_BUSHEL / 12**3
"""A US bushel, struck: 2,150.42 in³ exactly, so 1.2444560 ft³."""

BUSHEL = Source(
    "Handbook 44, Appendix C, General Tables of Units of Measurement",
    "National Institute of Standards and Technology",
    "no year",
    "https://www.nist.gov/pml/owm/publications/nist-handbooks/handbook-44",
    note="1 bushel, US, struck measure, is 2,150.42 cubic inches exactly; read in a mirror.",
)
VOLUMES_ADD = Source(
    "Volumes of the components add up",
    basis=PRACTICE,
    note="Common practice, no source: small seed fills gaps between large, so a real mix is somewhat heavier.",
)
_FROM_BUSHEL = Source("Weight of a bushel ÷ its volume", basis=WORKED_OUT)

GAPS = (
    "Volumes are added. Small seed lies between large, so the real mix is somewhat heavier, and a full hopper holds a "
    "little more than this says. A weighed bucket of the mix goes before it."
)


@described(
    title="Weight of a cubic foot of seed",
    topic="drill",
    inputs=[
        Quantity(
            "lb_per_bu",
            "Weight of a bushel",
            "lb/bu",
            above=0,
            example=56,
            help="Test weight; of the species' page where nobody has weighed it.",
        )
    ],
    answer=Quantity("lb_per_ft3", "Weight of a cubic foot", "lb/ft³", decimals=1),
    formula="lb/bu ÷ 1.244456",
    sources=[BUSHEL, _FROM_BUSHEL],
    notes=["A level bushel. Lots differ by some percent: weigh a bucket of known volume where it matters."],
)
def lb_per_ft3_from_bushel(lb_per_bu):
    """Bulk density of seed from what a bushel of it weighs.

    Examples
    --------
    >>> lb_per_ft3_from_bushel([56, None]).round(2)
    array([45., nan])
    """
    return lb_per_bu / FT3_PER_BUSHEL


@described(
    title="Weight of a cubic foot of a mix",
    topic="drill",
    inputs=[
        Quantity(
            "lb",
            "Seed",
            "lb",
            least=0,
            is_list=True,
            example=[60, 12],
            help="Bulk pounds of each component, or pounds an acre: only their shares count.",
        ),
        Quantity("lb_per_ft3", "Weight of a cubic foot", "lb/ft³", above=0, is_list=True, example=[45, 48.2]),
    ],
    answer=Quantity("mix_lb_per_ft3", "Weight of a cubic foot of the mix", "lb/ft³", decimals=1),
    formula="sum of lb ÷ sum of (lb ÷ lb/ft³)",
    sources=[DEFINITION, VOLUMES_ADD],
    notes=[GAPS],
)
def mix_lb_per_ft3(lb, lb_per_ft3):
    """Bulk density of seed mixed together, from the components.

    A component of 0 lb takes no room, whatever it would weigh. No seed at all has no density: NaN.

    Examples
    --------
    >>> float(mix_lb_per_ft3([50, 50], [50, 25]).round(2))
    33.33
    >>> float(mix_lb_per_ft3([50, 50], [50, None]))
    nan
    >>> float(mix_lb_per_ft3([50, 0], [50, None]))
    50.0
    >>> float(mix_lb_per_ft3([], []))
    nan
    """
    volume_ft3 = np.where(lb == 0, 0.0, lb / lb_per_ft3).sum(axis=-1)
    return lb.sum(axis=-1) / np.where(volume_ft3 == 0, np.nan, volume_ft3)
