"""Infiltration through rings, worms in a spade, and whether a clod holds together in water."""

from fieldlog.calc.repeats import repeats
from fieldlog.calc.soil import KIT, ring_infiltration
from fieldlog.kinds.answers import CHOICE, NUMBERS
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import choice_label, figure, known, reckoned, setting
from plots.calc.described import DEFINITION, MEMORY, Source

KIT_WORMS = Source(
    "Soil Quality Test Kit Guide, earthworms",
    "USDA NRCS",
    "2001",
    basis=MEMORY,
    note="About 10 on a square foot.",
)
KIT_SLAKE = Source("Soil Quality Test Kit Guide, slake test", "USDA NRCS", "2001", basis=MEMORY)

SLAKE = (
    Choice("0", "Too loose to pick up a piece"),
    Choice("1", "Half falls apart within 5 seconds"),
    Choice("2", "Half falls apart in 5 to 30 seconds"),
    Choice("3", "Half falls apart in ½ to 5 minutes", help="Or less than a tenth stays after five dips."),
    Choice("4", "A tenth to a quarter stays after five dips"),
    Choice("5", "A quarter to three quarters stay after five dips"),
    Choice("6", "More than three quarters stay after five dips"),
)


def figures(values, settings, facts):
    """Infiltration, worms and the class of the slake test. [in/h, worms/spade, class 0 to 6]"""
    return [
        _infiltration(values.get("minutes") or [], settings),
        *_worms(values.get("worms") or [], settings),
        _slake(values.get("slake")),
    ]


def _infiltration(minutes, settings):
    say = ("infiltration_in_per_h", "Infiltration")
    if not minutes:
        return figure(*say, None, "in/h", decimals=1, remark="no ring was poured")
    if None in minutes:
        return figure(*say, None, "in/h", decimals=1, remark="a ring has no minutes")
    rings, why = reckoned(
        ring_infiltration, settings.get("volume_ml"), settings.get("inside_diameter_in"), minutes
    )
    if rings is None:
        return figure(*say, None, "in/h", decimals=1, remark=why)
    rates = repeats(rings.rate_in_per_h)
    several = (
        f"{len(minutes)} rings from {min(rings.rate_in_per_h):.1f} to {max(rings.rate_in_per_h):.1f} in/h"
    )
    return figure(
        *say,
        rates.mean,
        "in/h",
        decimals=1,
        error=rates.error,
        remark=several if len(minutes) > 1 else "one ring is one spot",
        rests_on=str(KIT),
    )


def _worms(counts, settings):
    if not counts or None in counts:
        why = "no spade was looked at" if not counts else "a spade was not counted"
        return [figure("worms_per_spade", "Worms in a spade", None, "worms", decimals=1, remark=why)]
    worms = repeats(counts)
    found = [
        figure("worms_per_spade", "Worms in a spade", worms.mean, "worms", decimals=1, error=worms.error)
    ]
    if spade_ft2 := settings.get("spade_ft2"):
        found.append(
            figure(
                "worms_per_ft2",
                "Worms",
                worms.mean / spade_ft2,
                "worms/ft²",
                decimals=1,
                error=worms.error / spade_ft2,
                expected_low=settings.get("expected_worms_per_ft2"),
                rests_on=str(KIT_WORMS),
            )
        )
    return found


def _slake(chosen):
    return figure(
        "slake_class",
        "Holds together in water, class 0 to 6",
        known(float(chosen)) if chosen is not None else None,
        remark=choice_label(SLAKE, chosen),
        rests_on=str(KIT_SLAKE),
    )


SOIL = Kind(
    key="soil",
    title="Soil",
    summary="Infiltration through rings, worms in a spade, a clod in water.",
    tools="Ring and mallet, bottle with the measured water, watch, spade, cup",
    instructions="Press the ring three inches in without breaking the ground inside, lay a sheet over it, pour, draw the "
    "sheet away and stop the time when the surface shines no more. The first pouring wets the ground; note the minutes of the "
    "second. Dig a spade's block, break it up by hand and count the worms. Lay a dry piece of the surface the size of a pea in "
    "water and watch it for five minutes, then dip it five times in a sieve.",
    settings=(
        setting("volume_ml", "Water poured into the ring", 444, unit="mL", least=1, most=20_000),
        setting(
            "inside_diameter_in",
            "Inside diameter of the ring",
            5.87,
            unit="in",
            least=1,
            most=60,
            help="Measured, not the size it is sold by. 444 mL stand one inch deep in 5.87 in.",
        ),
        setting(
            "spade_ft2",
            "Ground of a spade's block",
            0.25,
            unit="ft²",
            least=0.05,
            most=10,
            help="6 by 6 inches are 0.25 ft².",
        ),
        setting(
            "expected_worms_per_ft2",
            "Worms to expect on a square foot, at least",
            10,
            unit="worms/ft²",
            least=0,
            most=1000,
            help="From memory, not checked: about 10 in the agency's guide to its soil kit. It hangs on season and "
            "moisture.",
        ),
    ),
    steps=(
        Step(
            "minutes",
            "Minutes until the water had gone in",
            ask=NUMBERS,
            unit="min",
            least=0.05,
            most=1440,
            doubt_above=240,
            doubt="{value} minutes?",
            help="One number a ring, of the second pouring.",
            picture="ring",
        ),
        Step(
            "worms",
            "Worms in each spade",
            ask=NUMBERS,
            least=0,
            most=1000,
            is_whole=True,
            doubt_above=100,
            doubt="{value} worms in one spade?",
            picture="spade",
        ),
        Step("slake", "A dry piece in water", ask=CHOICE, choices=SLAKE, picture="slake"),
    ),
    figures=figures,
    cautions=("heat",),
    sources=(KIT, KIT_WORMS, KIT_SLAKE, DEFINITION),
)
