"""How the components fit each other and the plot."""

import numpy as np

from blends.calc import fit
from blends.queries.judgement.parts import column, fact_of, value_of
from blends.queries.judgement.shapes import Finding
from blends.queries.judgement.words import listed, number, verb
from plots.calc.described import COMMON_PRACTICE, PRACTICE, Source

STOP, WARN, NOTE = "stop", "warn", "note"
FULL_STAND = Source(
    "Reclamation seed mixture and cultural practices",
    "Colorado Division of Reclamation, Mining and Safety",
    note="Shares of a full stand add up to 100 %; that 20 % to either side are about full is our choice.",
)
TWO_SEASONS = Source(
    "One plant family at most two seasons running",
    basis=PRACTICE,
    note="The same family feeds its own pests and diseases.",
)
_SEASONS = {"warm": "warm-season", "cool": "cool-season"}


def findings_of(figures, method, history, blend, plot):
    """What fits and what does not, the worst first.

    Parameters
    ----------
    figures : BlendFigures
    method : str
    history : History
    blend : Blend or None
        Where it is stored.
    plot : Plot or None
        Only this one; all plots of the blend when None.

    Returns
    -------
    list of Finding
    """
    rows = figures.rows
    found = [
        *_depth(rows, method),
        *_warm_and_cool(rows),
        *_soil_temperature(rows),
        *_inoculants(rows),
        *_families(rows, history, blend, plot),
        *_crowding(getattr(figures, method), rows),
    ]
    return sorted(found, key=lambda one: (STOP, WARN, NOTE).index(one.weight))


def _depth(rows, method):
    low, high = column(rows, "depth_in_low"), column(rows, "depth_in_high")
    try:
        settings = fit.depth_settings(low, high)
    except ValueError as refusal:
        return [Finding("depth", WARN, f"Seeding depths cannot be used: {refusal}.", [], [])]
    groups = [
        [row for row, at in zip(rows, settings.setting_of, strict=True) if at == number_of]
        for number_of in range(len(settings.low_in))
    ]
    unknown = [row.species for row, at in zip(rows, settings.setting_of, strict=True) if at < 0]
    tail = f" The depth of {listed(unknown)} is not known." if unknown else ""
    windows = [_inches(*ends) for ends in zip(settings.low_in, settings.high_in, strict=True)]
    one = "drill setting" if method == "drilled" else "depth of covering"
    sources = _sources(rows, "depth_in_low", "depth_in_high")
    if not groups:
        return [Finding("depth", NOTE, tail.strip(), unknown, [])] if unknown else []
    if settings.is_one_pass:
        species = [row.species for row in groups[0]]
        return [Finding("depth", NOTE, f"One {one} suits all: {windows[0]}.{tail}", species, sources)]
    each = "; ".join(
        f"{listed(row.species for row in group)} at {window}"
        for group, window in zip(groups, windows, strict=True)
    )
    said = f"No one {one} suits all. {len(groups)} passes, or boxes set apart, would: {each}.{tail}"
    return [Finding("depth", WARN, said, [row.species for group in groups for row in group], sources)]


def _inches(low, high):
    return f"{low:g} in" if low == high else f"{low:g} to {high:g} in"


def _warm_and_cool(rows):
    by_season = {
        season: [row.species for row in rows if str(value_of(row, "group")).startswith(season)]
        for season in _SEASONS
    }
    if not all(by_season.values()):
        return []
    said = " and ".join(f"{_SEASONS[season]} {listed(species)}" for season, species in by_season.items())
    said = f"Sown together: {said}. No one seeding date suits both."
    return [Finding("warm_and_cool", WARN, said, sum(by_season.values(), []), [COMMON_PRACTICE])]


def _soil_temperature(rows):
    soil = fit.soil_temperature_for_all(column(rows, "min_soil_temp_f"))
    unknown = [rows[at].species for at in soil.unknown]
    if not soil.set_by:
        return [_unknown_temperature(unknown)] if unknown else []
    setters = [rows[at].species for at in soil.set_by]
    least = "at least " if unknown else ""
    said = f"The soil has to have {least}{number(soil.lowest_f)} °F, which {listed(setters)} {verb(setters, 'wants', 'want')}."
    if unknown:
        said += f" Of {listed(unknown)} it is not known."
    sources = _sources([rows[at] for at in soil.set_by], "min_soil_temp_f")
    return [Finding("soil_temperature", NOTE, said, setters, sources)]


def _unknown_temperature(species):
    return Finding(
        "soil_temperature",
        NOTE,
        f"The lowest soil temperature of {listed(species)} is not known.",
        species,
        [],
    )


def _inoculants(rows):
    groups, unknown = {}, []
    for row in rows:
        group = value_of(row, "inoculant_group")
        if group:
            groups.setdefault(group, []).append(row)
        elif value_of(row, "fixes_nitrogen"):
            unknown.append(row.species)
    if not groups and not unknown:
        return []
    species = [row.species for members in groups.values() for row in members]
    each = "; ".join(
        f"{group} for {listed(row.species for row in members)}" for group, members in groups.items()
    )
    count = len(groups)
    said = f"{count} {'inoculant' if count == 1 else 'inoculants'}: {each}." if groups else ""
    if unknown:
        said += f" The inoculant of {listed(unknown)} is not known."
    members = [row for each in groups.values() for row in each]
    return [
        Finding("inoculant", NOTE, said.strip(), [*species, *unknown], _sources(members, "inoculant_group"))
    ]


def _families(rows, history, blend, plot):
    """Families that this blend would bring to a plot more seasons in a row than is good."""
    here = {}
    for row in rows:
        if family := value_of(row, "family"):
            here.setdefault(family, []).append(row.species)
    plots = {}
    for plot_id in [plot.pk] if plot else history.by_plot:
        if (told := history.until(plot_id, blend)) is None:
            continue
        name, before = told
        for family, count in fit.seasons_in_a_row([set(here), *before]).items():
            if count > fit.MOST_SEASONS_IN_A_ROW:
                plots.setdefault(family, []).append((name, count))
    return [
        Finding("family", WARN, _family_words(family, found), here[family], [TWO_SEASONS])
        for family, found in sorted(plots.items())
    ]


_NAMED = 4


def _family_words(family, found):
    found = sorted(found)
    names = [name for name, _ in found[:_NAMED]]
    if len(found) > _NAMED:
        names.append(f"{len(found) - _NAMED} more")
    counts = sorted({count for _, count in found})
    seasons = " to ".join(str(count) for count in [counts[0], *counts[1:][-1:]])
    return f"{family} on {listed(names)} for {seasons} plantings running; two are the usual most."


def _crowding(totals, rows):
    species = [row.species for row in rows]
    share = totals.share_of_full_rate
    kind = fit.crowding(np.nan if share is None else share)
    if not kind:
        return []
    density = (
        ""
        if totals.seeds_per_sqft is None
        else f" {number(totals.seeds_per_sqft)} live seeds on a square foot."
    )
    said = {
        "crowded": "crowded, the strongest will shade out the rest.",
        "thin": "thin, weeds will find room.",
        "full": "about a full stand.",
    }[kind]
    weight = WARN if kind == "crowded" else NOTE
    said = f"The shares of full rates add up to {100 * share:.0f} %: {said}{density}"
    return [Finding("crowding", weight, said, species, [FULL_STAND])]


def _sources(rows, *names):
    facts = [fact_of(row, name) for row in rows for name in names]
    return list(dict.fromkeys(source for fact in facts for source in fact.sources))
