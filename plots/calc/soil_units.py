"""Two ways in which laboratories write phosphorus and potassium, and what stands between them."""

LB_PER_ACRE_PER_PPM = 2
"""An acre of soil 6⅔ inches deep is taken to weigh 2,000,000 lb, so a part per million of it is 2 lb."""

FURROW_SLICE_IN = (6, 8)
"""Depths of sampling, from the surface, for which 6⅔ inches stand; ours. [in]"""


def ppm_to_lb_per_acre(concentration_ppm):
    """Pounds in the top 6⅔ inches of an acre, as some laboratories report a concentration.

    It is an index and no weighed amount: real soils are lighter or heavier than assumed.

    Parameters
    ----------
    concentration_ppm : number or array, any shape
        [mg/kg]

    Returns
    -------
    number or array, same shape and kind
        [lb/ac]

    References
    ----------
    "What is an 'Acre Furrow Slice' of Soil?", Penn State Extension, no year given, read in 2026: 6.7 in. of an acre
    at 1.33 g/cm³ weigh 2,024,458 lb, rounded to 2,000,000; "some labs multiply ppm values by 2".

    Examples
    --------
    >>> ppm_to_lb_per_acre(22.5)
    45.0
    """
    return concentration_ppm * LB_PER_ACRE_PER_PPM


def lb_per_acre_to_ppm(amount_lb_per_acre):
    """The concentration behind pounds per acre; see `ppm_to_lb_per_acre`.

    Examples
    --------
    >>> lb_per_acre_to_ppm(45)
    22.5
    """
    return amount_lb_per_acre / LB_PER_ACRE_PER_PPM


def is_furrow_slice(depth_top_in, depth_bottom_in):
    """Whether a sample reaches from the surface about as deep as the soil that 2,000,000 lb stand for.

    Examples
    --------
    >>> is_furrow_slice(0, 6), is_furrow_slice(0, 12), is_furrow_slice(6, 12)
    (True, False, False)
    """
    shallowest, deepest = FURROW_SLICE_IN
    return depth_top_in == 0 and shallowest <= depth_bottom_in <= deepest
