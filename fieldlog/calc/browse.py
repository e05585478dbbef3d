"""How much of a stand was eaten, from cages beside open ground."""

from plots.calc.checks import refuse_where
from plots.calc.described import COMMON_PRACTICE, Quantity, Source, described

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
