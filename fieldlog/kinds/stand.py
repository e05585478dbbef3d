"""Plants that came up: counts along rows or inside a frame, in all or by species."""

from fieldlog.calc.stand import (
    OHIO,
    PENN_STATE,
    PURDUE,
    emergence_of_live_seed_pct,
    stand_from_frames,
    stand_from_rows,
)
from fieldlog.kinds.answers import CHOICE, FLAG, NUMBERS, ROWS
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import count, figure, figure_name, key_of, known, reckoned, setting, species_step
from plots.calc.described import COMMON_PRACTICE

ROW, FRAME = "row", "frame"


def figures(values, settings, facts):
    """Plants on a square foot and an acre, and what part of the live seed they are. [plants/ft², plants/acre, %]"""
    by_species = bool(settings.get("by_species"))
    counts, remark = _by_place(values) if by_species else (values.get("plants"), "")
    found = _of_counts(counts, remark, settings, facts, _all_live_seeds(facts))
    if by_species:
        for species in _species_of(values):
            found += _of_species(species, counts, values, settings, facts)
    return found


def _of_counts(counts, remark, settings, facts, live_seeds_per_ft2):
    stand, why = _stand(counts, settings, facts)
    if stand is None:
        remark = remark or why
        return [
            figure("plants_per_ft2", "Plants", None, "plants/ft²", decimals=1, remark=remark),
            figure("emergence_pct", "Came up, of the live seed", None, "%", remark=remark),
        ]
    return [
        figure(
            "plants_per_ft2",
            "Plants",
            stand.plants_per_sqft,
            "plants/ft²",
            decimals=1,
            error=stand.error_per_sqft,
            remark="" if len(counts) > 1 else "one count says nothing of the spread",
        ),
        figure("plants_per_acre", "Plants", stand.plants_per_acre, "plants/acre", error=stand.error_per_acre),
        figure("counts", "Counts", len(counts)),
        _emergence("emergence_pct", "Came up, of the live seed", stand, live_seeds_per_ft2, settings, facts),
    ]


def _of_species(species, all_counts, values, settings, facts):
    counts = None if all_counts is None else _by_place(values, species)[0]
    stand, why = _stand(counts, settings, facts)
    sown = next((each for each in facts.sown if each.species_id == species.get("id")), None)
    name = figure_name("emergence_pct", species)
    label = f"{species['name']}, came up of the live seed"
    if stand is None:
        return [figure(name, label, None, "%", remark=why)]
    plants = figure(
        figure_name("plants_per_ft2", species),
        species["name"],
        stand.plants_per_sqft,
        "plants/ft²",
        decimals=1,
        error=stand.error_per_sqft,
    )
    live_seeds = sown.live_seeds_per_ft2 if sown else None
    return [plants, _emergence(name, label, stand, live_seeds, settings, facts)]


def _stand(counts, settings, facts):
    """The counted stand, or None and why there is none."""
    if not counts:
        return None, "nothing was counted"
    if None in counts:
        return None, "a place was not counted"
    if settings.get("method") == FRAME:
        return _if_known(*reckoned(stand_from_frames, counts, settings.get("frame_ft2")), "the frame's size")
    if facts.is_drilled is False:
        return None, "it was broadcast and has no rows; count inside a frame"
    spacing_in = settings.get("row_spacing_in") or facts.row_spacing_in
    if spacing_in is None:
        return None, "the distance between rows is not known; the owner can set it in the protocol"
    return _if_known(
        *reckoned(stand_from_rows, counts, settings.get("row_ft"), spacing_in), "the length of row"
    )


def _if_known(stand, why, what):
    if stand is not None and known(stand.plants_per_sqft) is None:
        return None, f"{what} is not known"
    return stand, why


def _emergence(name, label, stand, live_seeds_per_ft2, settings, facts):
    value, why = reckoned(emergence_of_live_seed_pct, stand.plants_per_sqft, live_seeds_per_ft2 or None)
    error, _ = reckoned(emergence_of_live_seed_pct, stand.error_per_sqft, live_seeds_per_ft2 or None)
    if not live_seeds_per_ft2:
        why = "how much live seed was sown is not known"
    elif known(value) is not None and value > 100:
        why = "more plants than live seed: volunteers, older hard seed, or a count or rate is off"
    elif facts.age_days is not None and facts.age_days < (settings.get("count_from_days") or 0):
        why = f"day {facts.age_days} after planting; more may still come up"
    return figure(
        name,
        label,
        value,
        "%",
        error=error,
        expected_low=settings.get("expected_low_pct"),
        remark=why,
        rests_on=str(COMMON_PRACTICE),
    )


def _all_live_seeds(facts):
    seeds = [each.live_seeds_per_ft2 for each in facts.sown]
    return sum(seeds) if seeds and None not in seeds else None


def _species_of(values):
    """Every species that was counted, once."""
    found = {}
    for row in values.get("species_counts") or ():
        if row.get("species"):
            found.setdefault(key_of(row["species"]), row["species"])
    return list(found.values())


def _by_place(values, species=None):
    """Plants at each place, of one species or of all; where others were counted and it was not, it has 0.

    Returns
    -------
    list or None, str
    """
    rows = values.get("species_counts") or ()
    if any(row.get("place") is None or row.get("plants") is None for row in rows):
        return None, "a row lacks its place or its plants"
    places = dict.fromkeys(row["place"] for row in rows)
    counts = dict.fromkeys(places, 0)
    for row in rows:
        if species is None or (row.get("species") and key_of(row["species"]) == key_of(species)):
            counts[row["place"]] += row["plants"]
    return list(counts.values()), ""


_MANY = 2000

STAND = Kind(
    key="stand",
    title="Stand count",
    summary="Plants counted along a row or in a frame, against the live seed that was sown.",
    tools="Tape or a stick of the row's length, or a frame",
    instructions="Pick the places blind: walk a set number of steps and put the stick or the frame where your foot falls. "
    "Count every plant of what was sown, no weeds and no volunteers that you can tell; several shoots from one seed are one "
    "plant. Five places or more. A place without a plant is a count of 0 and stays in. Where rows cannot be seen or the seed "
    "was broadcast, use a frame.",
    settings=(
        setting(
            "method",
            "Count",
            ROW,
            ask=CHOICE,
            choices=(Choice(ROW, "Along a length of row"), Choice(FRAME, "Inside a frame")),
        ),
        setting("row_ft", "Length of row", 3, unit="ft", least=0.5, most=100, when=("method", (ROW,))),
        setting(
            "row_spacing_in",
            "Between rows",
            None,
            unit="in",
            least=1,
            most=120,
            help="Left empty it is that of the machine that planted the plot.",
            when=("method", (ROW,)),
        ),
        setting(
            "frame_ft2",
            "Ground inside the frame",
            1,
            unit="ft²",
            least=0.1,
            most=100,
            help="A ring 30 inches across holds 4.91 ft².",
            when=("method", (FRAME,)),
        ),
        setting("by_species", "Count each species by itself", False, ask=FLAG),
        setting(
            "expected_low_pct",
            "Of the live seed, expect at least",
            50,
            unit="%",
            least=0,
            most=100,
            help="Common practice, no source; put what is usual here.",
        ),
        setting(
            "count_from_days",
            "Count from this day after planting",
            14,
            unit="days",
            least=0,
            most=365,
            is_whole=True,
            help="Common practice, no source. Earlier counts are kept and marked.",
        ),
    ),
    steps=(
        Step(
            "plants",
            "Plants in each count",
            ask=NUMBERS,
            least=0,
            most=100_000,
            is_whole=True,
            doubt_above=_MANY,
            doubt="{value} plants in one count?",
            help="One number a place. No plant is 0.",
            picture="counting",
            when=("by_species", (False,)),
        ),
        Step(
            "species_counts",
            "Plants of each species",
            ask=ROWS,
            columns=(
                count("place", "Place", most=60),
                species_step(),
                count("plants", "Plants", most=100_000, doubt_above=_MANY),
            ),
            help="Number the places 1, 2, 3. What is not listed at a place is 0 there. A place without any plant is a row too, "
            "with 0 and no species.",
            when=("by_species", (True,)),
        ),
        Step(
            "trouble",
            "Where plants are missing",
            ask=CHOICE,
            choices=(
                Choice("none", "Nothing stands out"),
                Choice("crust", "Crusted ground"),
                Choice("dry", "Seed lies dry"),
                Choice("eaten", "Eaten off"),
                Choice("washed", "Washed or under water"),
                Choice("residue", "Residue too thick"),
                Choice("skipped", "A row or a strip was not sown"),
            ),
        ),
    ),
    figures=figures,
    cautions=("heat", "ticks"),
    sources=(OHIO, PENN_STATE, PURDUE, COMMON_PRACTICE),
)
