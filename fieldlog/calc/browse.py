"""How much of a stand was eaten, from cages beside open ground."""

from typing import NamedTuple

import numpy as np

from plots.calc.checks import refuse_where
from plots.calc.described import COMMON_PRACTICE, DEFINITION, MEMORY, Quantity, Source, described

PAIRED_PLOTS = Source(
    "Paired-plot Method, after Interagency Technical Reference 1734-3",
    "Landscape Toolbox (USDA and BLM partners)",
    "no year",
    "https://landscapetoolbox.org/field-methods/paired-plot-method",
    note="The worked example inside the Technical Reference itself was not seen.",
)
GRAZING_STICK = Source(
    "Grazing monitoring stick article",
    "NDSU Extension and NRCS, carried by a trade magazine",
    "no year",
    "http://www.cattlenetwork.com/animal-health-center/prevent-overgrazing",
)


@described(
    title="Use by cage pairs",
    topic="browse",
    inputs=[
        Quantity("caged_g", "Dry weight inside the cage", "g", least=0, is_list=True, example=[60, 48, 52]),
        Quantity("open_g", "Dry weight outside", "g", least=0, is_list=True, example=[31, 40, 29]),
    ],
    answer=Quantity("use_pct", "Used", "%", decimals=1),
    formula="(sum inside − sum outside) ÷ sum inside × 100, sums over all pairs",
    sources=[PAIRED_PLOTS],
    notes=[
        "Totals over the pairs, not the mean of each pair's percentage; a pair with more outside stays in.",
        "Below zero means that the open ground grew more than the cages: no use detected, and the pairs differ "
        "more than the deer took.",
        "Equal frames, the same cutting height, the same day for both of a pair.",
        "Trampling, insects and regrowth that never came count as use too.",
        "A cage changes what grows in it; move it for each period.",
        "Cages seen: 4 to 5 ft high, 6 to 16 ft² of ground, a mesh too small for a deer's head.",
    ],
)
def use_pct(caged_g, open_g):
    """Part of the growth inside the cages that is missing outside, over all pairs.

    The caged total has to be above 0: where nothing grew there is no use to find, which is not a use of 0.

    Examples
    --------
    >>> float(use_pct([60, 48, 52], [31, 40, 29]))
    37.5
    >>> float(use_pct([40, 40], [44, 46]))
    -12.5
    >>> float(use_pct([60, None], [31, 40]))
    nan
    >>> use_pct([0, 0], [0, 5])
    Traceback (most recent call last):
    plots.calc.described.BadInput: Dry weight inside the cage is 0 g over all pairs; accepted is a total above 0 g
    """
    caged_total_g = caged_g.sum(axis=-1)
    refuse_where(
        caged_total_g == 0,
        "caged_g",
        "Dry weight inside the cage is 0 g over all pairs; accepted is a total above 0 g",
    )
    return 100 * (caged_total_g - open_g.sum(axis=-1)) / caged_total_g


@described(
    title="Height removed",
    topic="browse",
    inputs=[
        Quantity("grazed_in", "Height where browsed", "in", least=0, example=4),
        Quantity("ungrazed_in", "Height where not browsed", "in", above=0, example=10),
    ],
    answer=Quantity("height_removed_pct", "Height removed", "% of height", decimals=0),
    formula="(1 − browsed height ÷ unbrowsed height) × 100",
    sources=[GRAZING_STICK, COMMON_PRACTICE],
    notes=[
        "Height is not weight: plants are heavier near the ground, so the weight taken is less than this. Weight "
        "needs a height-weight curve of the species.",
        "Below zero means that the browsed plants stand taller: nothing detected.",
    ],
)
def height_removed_pct(grazed_in, ungrazed_in):
    """Part of the height that is gone, which is not the part of the weight.

    Examples
    --------
    >>> height_removed_pct([4, None], 10)
    array([60., nan])
    """
    return 100 * (1 - grazed_in / ungrazed_in)


RATIO_ERROR = Source(
    "Sampling Techniques, standard error of a ratio", "Cochran", "1977", basis=MEMORY, note="Third edition."
)


class BittenStems(NamedTuple):
    """Stems bitten, with the standard error of a tally."""

    bitten_pct: float
    standard_error_pct: float
    stems: float


@described(
    title="Standard error of cage pairs",
    topic="browse",
    inputs=[
        Quantity("caged", "Inside the cage", least=0, is_list=True, example=[60, 48, 52]),
        Quantity("opened", "Outside", least=0, is_list=True, example=[31, 40, 29]),
    ],
    answer=Quantity("standard_error_pct", "Standard error between pairs", "points of %", decimals=1),
    formula="√(n ÷ (n − 1) × Σ(outside − ratio × inside)²) ÷ Σ inside × 100, ratio = Σ outside ÷ Σ inside",
    sources=[RATIO_ERROR],
    notes=["One pair says nothing of the spread."],
    is_listed=False,
)
def paired_error_pct(caged, opened):
    """Standard error of the part that is missing outside, from how far the pairs differ.

    Examples
    --------
    >>> round(float(paired_error_pct([60, 48, 52], [31, 40, 29])), 1)
    9.5
    >>> float(paired_error_pct([60], [31]))
    nan
    """
    pairs = caged.shape[-1]
    total = caged.sum(axis=-1)
    refuse_where(total == 0, "caged", "Inside the cage is 0 over all pairs; accepted is a total above 0")
    ratio = opened.sum(axis=-1) / total
    off = np.square(opened - ratio[..., np.newaxis] * caged).sum(axis=-1)
    return 100 * np.sqrt(off * (pairs / (pairs - 1) if pairs > 1 else np.nan)) / total


@described(
    title="Stems bitten",
    topic="browse",
    inputs=[
        Quantity("bitten", "Stems bitten", least=0, is_whole=True, example=34),
        Quantity("whole", "Stems not bitten", least=0, is_whole=True, example=66),
    ],
    answers=[
        Quantity("bitten_pct", "Bitten", "% of stems", decimals=0),
        Quantity("standard_error_pct", "Standard error", "points of %", decimals=1),
        Quantity("stems", "Stems looked at", is_whole=True, decimals=0),
    ],
    formula="bitten ÷ (bitten + not bitten) × 100; error = √(share × (1 − share) ÷ stems) × 100",
    sources=[DEFINITION, COMMON_PRACTICE],
    notes=[
        "The error takes each stem as a draw of its own; neighbours are bitten alike, so it is mostly too small.",
        "Stems bitten are not weight taken: a nipped tip counts as much as a stem eaten to the ground.",
    ],
)
def bitten_stems(bitten, whole):
    """Part of the stems looked at that were bitten; of no stem it is unknown.

    Examples
    --------
    >>> tally = bitten_stems([34, 0, None], [66, 0, 5])
    >>> tally.bitten_pct, tally.standard_error_pct.round(2)
    (array([34., nan, nan]), array([4.74,  nan,  nan]))
    """
    stems = bitten + whole
    share = bitten / np.where(stems == 0, np.nan, stems)
    return BittenStems(100 * share, 100 * np.sqrt(share * (1 - share) / stems), stems)
