"""Size of a patch paced out, and its share of a plot."""

from plots.calc.described import COMMON_PRACTICE, DEFINITION, Quantity, described
from plots.calc.units import FT2_PER_ACRE

COVER_NOTE = "as if the patch were a rectangle"


@described(
    title="Ground of a patch",
    topic="stand",
    inputs=[
        Quantity("length_ft", "Length", "ft", least=0, example=30),
        Quantity("width_ft", "Width at the widest", "ft", least=0, example=12),
    ],
    answer=Quantity("area_ft2", "Ground", "ft²", decimals=0),
    formula="length × width",
    sources=[DEFINITION, COMMON_PRACTICE],
    notes=["A patch that is no rectangle is smaller: an ellipse of this length and width by a fifth."],
    is_listed=False,
)
def rectangle_ft2(length_ft, width_ft):
    """Ground of a patch by its length and its width.

    Examples
    --------
    >>> rectangle_ft2([30, None], 12)
    array([360.,  nan])
    """
    return length_ft * width_ft


@described(
    title="Share of a plot",
    topic="stand",
    inputs=[
        Quantity("area_ft2", "Ground of the patch", "ft²", least=0, example=360),
        Quantity("plot_acres", "Plot", "acres", above=0, example=1.5),
    ],
    answer=Quantity("share_pct", "Of the plot", "%", decimals=1),
    formula="ft² ÷ (acres × 43,560) × 100",
    sources=[DEFINITION],
    is_listed=False,
)
def share_of_plot_pct(area_ft2, plot_acres):
    """Part of a plot that a patch inside it takes.

    Examples
    --------
    >>> share_of_plot_pct([653.4, None], 1.5)
    array([ 1., nan])
    """
    return 100 * area_ft2 / (plot_acres * FT2_PER_ACRE)
