"""How much the deer took: cages beside open ground, or bitten stems."""

from fieldlog.calc.browse import (
    GRAZING_STICK,
    PAIRED_PLOTS,
    bitten_stems,
    height_removed_pct,
    paired_error_pct,
    use_pct,
)
from fieldlog.kinds.answers import CHOICE, ROWS
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import count, figure, figure_name, key_of, known, reckoned, setting, species_step
from plots.calc.described import COMMON_PRACTICE

HEIGHT, WEIGHT, STEMS = "height", "weight", "stems"


def figures(values, settings, facts):
    """Part of the growth, of the height or of the stems that is gone. [%]"""
    method = settings.get("method", HEIGHT)
    if method == STEMS:
        return _of_stems(values.get("stems") or [])
    if method == WEIGHT:
        return [_of_weights(values)]
    return _of_heights(values.get("heights") or [])


def _of_weights(values):
    pairs = values.get("weights") or []
    caged, opened = ([row.get(name) for row in pairs] for name in ("caged_g", "open_g"))
    use, why = reckoned(use_pct, caged, opened) if pairs else (None, "no pair was weighed")
    error = _paired_error(caged, opened) if use is not None else None
    if pairs and known(use) is None:
        why = why or "a pair lacks one of its weights"
    elif use is not None and use < 0:
        why = "no use found: the open ground grew more than the cages"
    elif values.get("weighed") == "fresh":
        why = "of fresh weights"
    return figure("use_pct", "Used, of the growth", use, "%", error=error, remark=why)


def _of_heights(pairs):
    caged, opened = ([row.get(name) for row in pairs] for name in ("caged_in", "open_in"))
    if not pairs or None in caged + opened:
        why = "no pair was measured" if not pairs else "a pair lacks one of its heights"
        return [figure("height_removed_pct", "Height removed", None, "% of height", remark=why)]
    mean_caged, mean_open = sum(caged) / len(caged), sum(opened) / len(opened)
    removed, why = reckoned(height_removed_pct, mean_open, mean_caged)
    error = _paired_error(caged, opened) if removed is not None else None
    if removed is not None and removed < 0:
        why = "nothing found: it stands taller in the open"
    return [
        figure("height_removed_pct", "Height removed", removed, "% of height", error=error, remark=why),
        figure("caged_height_in", "Height inside", mean_caged, "in", decimals=1),
        figure("open_height_in", "Height outside", mean_open, "in", decimals=1),
    ]


def _paired_error(caged, opened):
    error, _ = reckoned(paired_error_pct, caged, opened)
    return error


def _of_stems(rows):
    complete = [row for row in rows if "bitten" in row and "whole" in row]
    why = "" if complete else "no stems were counted"
    if len(complete) < len(rows):
        why = f"{len(rows) - len(complete)} of {len(rows)} rows lack one of their counts and are left out"
    found = [_bitten("bitten_pct", "Stems bitten", complete, why)]
    by_species = {}
    for row in complete:
        if row.get("species"):
            by_species.setdefault(key_of(row["species"]), []).append(row)
    for of_one in by_species.values():
        species = of_one[0]["species"]
        found.append(_bitten(figure_name("bitten_pct", species), f"{species['name']}, bitten", of_one))
    return found


def _bitten(name, label, rows, remark=""):
    tally = sum(row["bitten"] for row in rows), sum(row["whole"] for row in rows)
    stems, why = reckoned(bitten_stems, *tally) if rows else (None, "")
    if stems is None:
        return figure(name, label, None, "% of stems", remark=remark or why)
    return figure(
        name,
        label,
        stems.bitten_pct,
        "% of stems",
        error=stems.standard_error_pct,
        remark=remark or f"{tally[0]} of {sum(tally)} stems",
    )


def _height(name, label):
    return Step(
        name, label, unit="in", least=0, most=400, doubt_above=120, doubt=f"{label}: {{value}} in tall?"
    )


def _weight(name, label):
    return Step(
        name, label, unit="g", least=0, most=100_000, doubt_above=5000, doubt=f"{label}: {{value}} g?"
    )


BROWSE = Kind(
    key="browse",
    title="Browse",
    summary="Inside a cage against outside, by height or weight; or bitten stems counted.",
    tools="Ruler; for weights also two equal frames, shears, bags and a scale",
    instructions="Measure or clip inside the cage and at a spot outside that looked like it when the cage was set. Equal "
    "frames, the same cutting height, the same day for both of a pair. For stems, walk a line and take the nearest stem at "
    "each step, bitten or not. Move the cages afterwards: a cage changes what grows in it.",
    settings=(
        setting(
            "method",
            "Measure by",
            HEIGHT,
            ask=CHOICE,
            choices=(
                Choice(HEIGHT, "Height, inside and outside of cages"),
                Choice(WEIGHT, "Weight, inside and outside of cages"),
                Choice(STEMS, "Stems bitten and not bitten"),
            ),
        ),
    ),
    steps=(
        Step(
            "heights",
            "Height at each cage",
            ask=ROWS,
            columns=(_height("caged_in", "Inside the cage"), _height("open_in", "Outside")),
            picture="cage",
            when=("method", (HEIGHT,)),
        ),
        Step(
            "weights",
            "Weight at each cage",
            ask=ROWS,
            columns=(_weight("caged_g", "Inside the cage"), _weight("open_g", "Outside")),
            help="Without bag, equal frames.",
            picture="cage",
            when=("method", (WEIGHT,)),
        ),
        Step(
            "weighed",
            "Weighed",
            ask=CHOICE,
            choices=(Choice("dry", "Dried"), Choice("fresh", "Fresh")),
            when=("method", (WEIGHT,)),
        ),
        Step(
            "stems",
            "Stems",
            ask=ROWS,
            columns=(
                species_step(),
                count("bitten", "Bitten", most=10_000),
                count("whole", "Not bitten", most=10_000),
            ),
            picture="bitten",
            when=("method", (STEMS,)),
        ),
        species_step("Eaten first"),
    ),
    figures=figures,
    cautions=("heat", "ticks"),
    sources=(PAIRED_PLOTS, GRAZING_STICK, COMMON_PRACTICE),
)
