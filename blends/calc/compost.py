"""Composting: how much of a second material brings a heap to a moisture or to a C:N.

Wet mass, carbon and nitrogen of the dry matter. The aims of a heap are not those of residue in the field, which
`residue` has.
"""

import numpy as np

from plots.calc.described import BadInput, Quantity, Source, described

RIGHT_MIX = Source(
    "Composting in Schools: Getting the Right Mix",
    "Cornell Waste Management Institute",
    "1996",
    "http://compost.css.cornell.edu/calc/rightmix.html",
)
COMPOST_IS_NOT_RESIDUE = "For a compost heap, which aims at about 30 and ends near 10. That aim is no goal for residue in the field."

_FIRST_LB = Quantity("first_lb", "First material, wet", "lb", least=0, example=10)
_FIRST_MOISTURE = Quantity("first_moisture_pct", "Its moisture", "%", least=0, below=100, example=77)
_SECOND_MOISTURE = Quantity(
    "second_moisture_pct", "Moisture of the second material", "%", least=0, below=100, example=35
)
_SECOND_LB = Quantity("second_lb", "Second material, wet", "lb")
_ANY_UNIT = "The answer has the unit of the first material, pounds or kilograms."


@described(
    title="Compost: moisture of a material",
    topic="nitrogen",
    inputs=[
        Quantity("wet_g", "Wet weight", "g", above=0, example=10),
        Quantity("dry_g", "Dry weight", "g", least=0, example=2.3),
    ],
    answer=Quantity("moisture_pct", "Moisture", "%", decimals=1),
    formula="(wet − dry) ÷ wet × 100",
    sources=[RIGHT_MIX],
    notes=["On the wet basis, as for all plants; soil moisture is on the dry basis.", COMPOST_IS_NOT_RESIDUE],
)
def compost_moisture_pct(wet_g, dry_g):
    """Moisture of a compost material, as part of its wet weight.

    Examples
    --------
    >>> compost_moisture_pct([10, 10], [2.3, None]).round(1)
    array([77., nan])
    """
    is_wrong = dry_g > wet_g
    if is_wrong.any():
        dry_g, wet_g = (np.broadcast_to(each, is_wrong.shape)[is_wrong][0] for each in (dry_g, wet_g))
        raise BadInput("dry_g", f"Dry weight is {dry_g:g} g; accepted is at most the wet weight, {wet_g:g} g")
    return 100 * (wet_g - dry_g) / wet_g


@described(
    title="Compost: second material for a moisture",
    topic="nitrogen",
    inputs=[
        _FIRST_LB,
        _FIRST_MOISTURE,
        _SECOND_MOISTURE,
        Quantity("goal_pct", "Moisture wanted", "%", least=0, below=100, example=60),
    ],
    answer=_SECOND_LB,
    formula="first × (goal − its moisture) ÷ (moisture of the second − goal)",
    sources=[RIGHT_MIX],
    notes=[_ANY_UNIT, COMPOST_IS_NOT_RESIDUE],
)
def compost_second_lb_for_moisture(first_lb, first_moisture_pct, second_moisture_pct, goal_pct):
    """Wet mass of a second material that brings a compost mixture to a moisture.

    Examples
    --------
    >>> compost_second_lb_for_moisture(10, 77, [35, None], 60).round(2)
    array([6.8, nan])
    >>> compost_second_lb_for_moisture(10, 77, 35, 80)
    Traceback (most recent call last):
    plots.calc.described.BadInput: Moisture wanted is 80; accepted is between the two materials, 77 and 35
    """
    share = _part_between("goal_pct", "Moisture wanted", goal_pct, first_moisture_pct, second_moisture_pct)
    return first_lb * share


@described(
    title="Compost: second material for a C:N",
    topic="nitrogen",
    inputs=[
        _FIRST_LB,
        _FIRST_MOISTURE,
        Quantity(
            "first_carbon_pct", "Its carbon", "%", above=0, most=100, example=45, help="Of the dry matter."
        ),
        Quantity(
            "first_nitrogen_pct",
            "Its nitrogen",
            "%",
            above=0,
            most=100,
            example=2.4,
            help="Of the dry matter.",
        ),
        _SECOND_MOISTURE,
        Quantity("second_carbon_pct", "Carbon of the second material", "%", above=0, most=100, example=50),
        Quantity(
            "second_nitrogen_pct", "Nitrogen of the second material", "%", above=0, most=100, example=0.75
        ),
        Quantity("goal_cn", "C:N wanted", above=0, example=30),
    ],
    answer=_SECOND_LB,
    formula="first × N₁ × (goal − C₁ ÷ N₁) × (100 − moisture₁) ÷ [N₂ × (C₂ ÷ N₂ − goal) × (100 − moisture₂)]",
    sources=[RIGHT_MIX],
    notes=[_ANY_UNIT, COMPOST_IS_NOT_RESIDUE],
)
def compost_second_lb_for_cn(
    first_lb,
    first_moisture_pct,
    first_carbon_pct,
    first_nitrogen_pct,
    second_moisture_pct,
    second_carbon_pct,
    second_nitrogen_pct,
    goal_cn,
):
    """Wet mass of a second material that brings a compost mixture to a C:N.

    Examples
    --------
    >>> compost_second_lb_for_cn(10, 77, 45, [2.4, None], 35, 50, 0.75, 30).round(2)
    array([3.47,  nan])
    """
    first_cn, second_cn = first_carbon_pct / first_nitrogen_pct, second_carbon_pct / second_nitrogen_pct
    first_nitrogen = first_lb * (100 - first_moisture_pct) * first_nitrogen_pct
    second_nitrogen = (100 - second_moisture_pct) * second_nitrogen_pct
    return (
        _part_between("goal_cn", "C:N wanted", goal_cn, first_cn, second_cn)
        * first_nitrogen
        / second_nitrogen
    )


def _part_between(name, label, goal, first, second):
    """What of the second brings the first to the goal: (goal − first) ÷ (second − goal)."""
    is_between = ((first <= goal) & (goal < second)) | ((first >= goal) & (goal > second))
    is_wrong = ~is_between & ~np.isnan(goal + first + second)
    if is_wrong.any():
        goal, first, second = (each[is_wrong][0] for each in np.broadcast_arrays(goal, first, second))
        raise BadInput(
            name,
            f"{label} is {goal:.4g}; accepted is between the two materials, {first:.4g} and {second:.4g}",
        )
    return (goal - first) / (second - goal)
