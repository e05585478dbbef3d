"""Stage and height of each species, against the days that the table of species gives."""

from fieldlog.kinds.answers import CHOICE, ROWS
from fieldlog.kinds.described import Kind, Step
from fieldlog.kinds.parts import STAGES, choice_label, figure, figure_name, key_of, species_step
from plots.calc.described import COMMON_PRACTICE, Source

_ORDER = [each.value for each in STAGES]
_BEFORE_BLOOM = _ORDER[: _ORDER.index("bloom")]
_RIPE = _ORDER.index("ripe")
_FIRST_GROWTH_DAYS = 365  # days from seeding say nothing of what comes back in a later year

TABLE = Source("The tool's own table of species", note="Days to bloom and seed, each with its own source.")


def figures(values, settings, facts):
    """Height and stage of each species, and the tallest of them. [in]"""
    rows = values.get("plants") or []
    heights = [row["height_in"] for row in rows if "height_in" in row]
    found = [
        figure(
            "tallest_in",
            "Tallest",
            max(heights, default=None),
            "in",
            remark="" if heights else "no height was measured",
        )
    ]
    for species, of_one in _by_species(rows):
        found += _heights(species, [row["height_in"] for row in of_one if "height_in" in row])
        found += _stages(species, [row["stage"] for row in of_one if "stage" in row], facts)
    return found


def _by_species(rows):
    """[(species, its rows)]; a row without a species stands for itself."""
    found = {}
    for number, row in enumerate(rows, start=1):
        species = row.get("species") or {"name": f"Row {number}"}
        found.setdefault(key_of(species), (species, []))[1].append(row)
    return list(found.values())


def _heights(species, heights):
    if not heights:
        return []
    said = f"mean of {len(heights)}" if len(heights) > 1 else ""
    name, label = figure_name("height_in", species), f"{species['name']}, height"
    return [figure(name, label, sum(heights) / len(heights), "in", remark=said)]


def _stages(species, stages, facts):
    """The least and the most advanced of its stages; one of them alone is set against its days."""
    if not stages:
        return []
    stages = sorted(set(stages), key=_ORDER.index)
    if len(stages) == 1:
        return [_stage(species, stages[0], facts)]
    text = f"{choice_label(STAGES, stages[0])} to {choice_label(STAGES, stages[-1]).lower()}"
    return [figure(figure_name("stage", species), f"{species['name']}, stage", text)]


def _stage(species, stage, facts):
    sown = next((each for each in facts.sown if each.species_id == species.get("id")), None)
    remark = _against_its_days(stage, sown, facts.age_days) if sown else ""
    return figure(
        figure_name("stage", species),
        f"{species['name']}, stage",
        choice_label(STAGES, stage),
        remark=remark,
        rests_on=str(TABLE) if remark else "",
    )


def _against_its_days(stage, sown, age_days):
    """How the stage stands to the days to bloom and to ripe seed."""
    if age_days is None or age_days > _FIRST_GROWTH_DAYS or stage == "dead":
        return ""
    due = [("bloom", sown.days_to_bloom), ("ripe seed", sown.days_to_seed)]
    said = [f"{what} by day {days[0]:g} to {days[1]:g}" for what, days in due if days]
    if not said:
        return ""
    return f"day {age_days}; {_pace(stage, sown, age_days)}expected are {' and '.join(said)}"


def _pace(stage, sown, age_days):
    bloom, seed = sown.days_to_bloom, sown.days_to_seed
    is_before = stage in _BEFORE_BLOOM
    if (bloom and is_before and age_days > bloom[1]) or (
        seed and _ORDER.index(stage) < _RIPE and age_days > seed[1]
    ):
        return "late, "
    if (bloom and not is_before and age_days < bloom[0]) or (seed and stage == "ripe" and age_days < seed[0]):
        return "early, "
    return ""


GROWTH = Kind(
    key="growth",
    title="Stage and height",
    summary="How far each species is, and how tall it stands.",
    tools="Measuring stick",
    instructions="Look at ten plants of each species away from the edge. Note the stage that half of them have reached and "
    "the height at which most of their leaves end, not the longest stem pulled straight.",
    steps=(
        Step(
            "plants",
            "Each species",
            ask=ROWS,
            columns=(
                species_step(),
                Step("stage", "Stage", ask=CHOICE, choices=STAGES),
                Step(
                    "height_in",
                    "Height",
                    unit="in",
                    least=0,
                    most=400,
                    doubt_above=144,
                    doubt="{value} in tall?",
                ),
            ),
            picture="height",
        ),
    ),
    figures=figures,
    cautions=("heat", "ticks"),
    sources=(TABLE, COMMON_PRACTICE),
)
