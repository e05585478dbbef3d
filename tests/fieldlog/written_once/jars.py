"""Jars of honey: nothing that the site works out, so that no word of it is there by accident."""

from typing import NamedTuple

import numpy as np

from plots.calc.described import COMMON_PRACTICE, MEMORY, BadInput, Quantity, Source, described


class Jars(NamedTuple):
    """What the comb comes to."""

    jars: float
    honey_lb_by_comb: object
    label: str


@described(
    title="Jars of honey",
    topic="browse",
    inputs=[
        Quantity("comb_lb", "Comb", "lb", least=0, is_list=True, example=[6, 4.5]),
        Quantity(
            "wax_pct", "Wax", "%", least=0, below=100, is_list=True, example=[10, 20], help="By weight."
        ),
        Quantity("jar_lb", "A jar holds", "lb", above=0, is_required=False, default=1.5, example=1.5),
        Quantity("hive", "Hive", kind="choice", choices=(("tall", "Tall"), ("flat", "Flat")), example="tall"),
        Quantity("on", "Taken", kind="date", is_required=False),
        Quantity("is_strained", "Strained", kind="flag", is_required=False, default=True),
    ],
    answers=[
        Quantity("jars", "Jars", "jars", decimals=1),
        Quantity("honey_lb_by_comb", "Honey of each comb", "lb"),
        Quantity("label", "Label", kind="text"),
    ],
    formula="sum of comb × (1 − wax ÷ 100) ÷ what a jar holds",
    sources=[Source("Beekeeper's Almanac", "Nobody", "1901", basis=MEMORY), COMMON_PRACTICE],
    notes=["Unstrained honey fills a tenth more."],
    cautions=["Bees sting: wear a veil."],
)
def honey_jars(comb_lb, wax_pct, jar_lb=1.5, hive=None, on=None, is_strained=True):
    """Jars that the combs of a hive fill.

    Examples
    --------
    >>> honey_jars([6, 4.5], [10, 20], hive="tall").jars
    6.0
    >>> honey_jars([6, None], [10, 20], hive="tall").jars
    nan
    """
    if hive == "flat" and comb_lb.shape[-1] > 3:
        raise BadInput(
            "comb_lb", f"Comb has {comb_lb.shape[-1]} rows; accepted are 3 or fewer of a flat hive"
        )
    honey_lb = comb_lb * (1 - wax_pct / 100) * (1 if is_strained else 1.1)
    jars = np.where(hive is None, np.nan, honey_lb.sum(axis=-1) / jar_lb)
    return Jars(jars, honey_lb, "" if on is None else f"taken in {on.year}")
