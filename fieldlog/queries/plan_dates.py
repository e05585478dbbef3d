"""What a season's plan asks to be done, with the days and what each of them rests on."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Max
from django.utils import timezone

from blends.calc.months import day_in_year
from blends.models import Calibration, Component, Planting, PurchaseOrder, Season
from blends.queries.judgement.calendar import AFTER_LAST_FROST_DAYS, BEFORE_FIRST_FROST_DAYS
from blends.queries.species import species_facts
from plots.models import Plot

ORDER_BEFORE_DAYS, CALIBRATE_BEFORE_DAYS, WINDOW_DAYS, TERMINATE_BEFORE_DAYS = 42, 7, 14, 14
"""Common practice, no source. [days]"""
SOIL_TEST_YEARS = 3
"""How long a soil test is taken to hold; common practice, no source."""
CALIBRATED_WITHIN_DAYS = 120  # of the sowing; ours
MISSED_DAYS = 180  # after sowing was due nobody sows that season any more; ours
NAMED = 12  # plots that a text names
_PLANNED = Planting.State.PLANNED
_STANDING = (Planting.State.DRILLED, Planting.State.UP)


@dataclass(frozen=True)
class PlanWork:
    """Something that the plan asks for. `is_done` says that the book shows it done already."""

    key: str
    kind: str
    title: str
    how: str
    tools: str = ""
    starts_on: date | None = None
    due_on: date | None = None
    is_done: bool = False


def plan_work(property):
    """What the plans of a property ask for: of its seasons from last year on, and of its soil.

    Returns
    -------
    list of PlanWork
    """
    today = timezone.localdate()
    seasons = Season.objects.filter(property=property, year__gte=today.year - 1).order_by("year", "-kind")
    wanted = []
    for season in seasons:
        season.property = property
        rows = season.plantings.filter(plot__is_archived=False, is_fallow=False)
        plantings = list(rows.select_related("plot", "blend").order_by("plot__name"))
        if plantings:
            wanted += _of_season(season, plantings)
    return [*wanted, *filter(None, [_soil(property, today)])]


def sowing_day(property, season):
    """The day about which a season is sown, and the words for where it comes from; None while a frost is unknown."""
    is_warm = season.kind == Season.Kind.WARM
    frost_on = property.last_frost_on if is_warm else property.first_frost_on
    what = "the last frost of spring" if is_warm else "the first frost of autumn"
    if frost_on is None:
        return None, f"No day is known: the property's settings have no date for {what}."
    days = AFTER_LAST_FROST_DAYS if is_warm else -BEFORE_FIRST_FROST_DAYS
    on = day_in_year(frost_on, season.year) + timedelta(days=days)
    side = "after" if is_warm else "before"
    return on, f"Sown from about {_day(on)}: {abs(days)} days {side} {what} (common practice, no source)."


def _of_season(season, plantings):
    to_sow = [each for each in plantings if each.state == _PLANNED]
    standing = [each for each in plantings if each.state in _STANDING]
    on, basis = sowing_day(season.property, season)
    wanted = []
    if on is None or timezone.localdate() <= on + timedelta(days=MISSED_DAYS):
        wanted += [_order(season, on, basis, to_sow), _calibrate(season, on, basis, to_sow)]
        wanted.append(_drill(season, on, basis, to_sow))
    followed = _followed(season, standing)
    if followed:
        wanted.append(_terminate(season, *followed))
    return wanted


def _order(season, on, basis, to_sow):
    is_ordered = (
        PurchaseOrder.objects.filter(order__season=season).exclude(state=PurchaseOrder.State.DRAFT).exists()
    )
    before = on and on - timedelta(days=ORDER_BEFORE_DAYS)
    offers = (
        season.order.orderlines.filter(offer__valid_until__isnull=False) if hasattr(season, "order") else []
    )
    ends = min((line.offer.valid_until for line in offers), default=None)
    due_on = min((each for each in (before, ends) if each), default=None)
    why = [f"{ORDER_BEFORE_DAYS // 7} weeks before sowing (common practice, no source)."] if before else []
    if ends:
        why.append(f"A chosen offer holds until {_day(ends)}.")
    return PlanWork(
        f"{season.slug}/order",
        "order",
        f"Order seed for the {_name(season)}",
        " ".join(["Order by this day.", *why, basis]),
        due_on=due_on,
        is_done=is_ordered or not to_sow,
    )


def _calibrate(season, on, basis, to_sow):
    done = Calibration.objects.filter(machine__property=season.property, is_struck=False)
    if on is not None:
        done = done.filter(calibrated_on__gte=on - timedelta(days=CALIBRATED_WITHIN_DAYS))
    else:
        done = done.filter(calibrated_on__year=season.year)
    return PlanWork(
        f"{season.slug}/calibrate",
        "calibrate",
        f"Calibrate for the {_name(season)}",
        f"Catch seed of every blend from every box, a week before sowing (common practice, no source). {basis} Shut the "
        "drive off before a hand goes near it. Treated seed is handled as its label says, with gloves.",
        "Scale, bags, tape",
        due_on=on and on - timedelta(days=CALIBRATE_BEFORE_DAYS),
        is_done=done.exists() or not to_sow,
    )


def _drill(season, on, basis, to_sow):
    blends = {each.blend_id: each.blend for each in to_sow if each.blend_id}
    temperatures = _soil_temperatures(season.property, blends)
    warm_enough = " ".join(
        f"{blend}: soil of {temperatures[pk]:g} °F or more."
        for pk, blend in blends.items()
        if temperatures.get(pk) is not None
    )
    return PlanWork(
        f"{season.slug}/drill",
        "drill",
        f"Drill the {_name(season)}: {_count(to_sow)}",
        f"{basis} The window is taken to be {WINDOW_DAYS // 7} weeks (common practice, no source); rain and soil decide. "
        f"{warm_enough} {_names(to_sow)}".strip(),
        "Planting sheets, seed, acre meter",
        starts_on=on,
        due_on=on and on + timedelta(days=WINDOW_DAYS),
        is_done=not to_sow,
    )


def _soil_temperatures(property, blends):
    """{id of a blend: highest of the lowest soil temperatures of its species}, where any is known. [°F]"""
    known = {row.species.pk: row.min_soil_temp_f.value for row in species_facts(property)}
    found = {}
    for blend_id, species_id in Component.objects.filter(blend__in=blends).values_list(
        "blend_id", "species_id"
    ):
        if known.get(species_id) is not None:
            found[blend_id] = max(found.get(blend_id, known[species_id]), known[species_id])
    return found


def _followed(season, standing):
    """(Standing plantings whose plots are planned in the next season, that season)."""
    if not standing:
        return None
    later = Planting.objects.filter(
        plot__in=[each.plot_id for each in standing], is_fallow=False, state=_PLANNED
    ).exclude(season=season)
    after = [each for each in later.select_related("season") if _order_of(each.season) > _order_of(season)]
    if not after:
        return None
    following = min((each.season for each in after), key=_order_of)
    plots = {each.plot_id for each in after if each.season_id == following.pk}
    following.property = season.property
    return [each for each in standing if each.plot_id in plots], following


def _terminate(season, standing, following):
    on, basis = sowing_day(season.property, following)
    leafy = [each for each in standing if each.plot.objective == Plot.Objective.FEED_NEXT]
    stages = "Those that are to hold weeds at bloom, when grasses shed pollen: younger, they rise again behind a crimper. "
    if leafy:
        stages += f"To feed the next crop, leafy, before heading or bud: {_listed(leafy)}. "
    return PlanWork(
        f"{season.slug}/terminate",
        "terminate",
        f"End the stands of the {_name(season)}: {_count(standing)}",
        f"{stages}Both are common practice, no source. {TERMINATE_BEFORE_DAYS} days before the {_name(following)} is sown "
        f"(common practice, no source). {basis} {_names(standing)} A herbicide goes by its label and by whoever is "
        "licensed.",
        "Crimper, mower or sprayer",
        due_on=on and on - timedelta(days=TERMINATE_BEFORE_DAYS),
    )


def _soil(property, today):
    """Test the soil of plots whose last test is too old; None where none is."""
    plots = Plot.objects.filter(property=property, is_archived=False)
    last = dict(
        plots.filter(soil_tests__is_struck=False)
        .annotate(last=Max("soil_tests__sampled_on"))
        .values_list("pk", "last")
    )
    rows = list(plots.order_by("name").only("pk", "name"))
    runs_out = {pk: day_in_year(on, on.year + SOIL_TEST_YEARS) for pk, on in last.items()}
    due = [plot for plot in rows if plot.pk not in last or runs_out[plot.pk].year <= today.year]
    if not due:
        return None
    never = [plot for plot in due if plot.pk not in last]
    due_on = min((runs_out[plot.pk] for plot in due if plot.pk in last), default=None)
    words = f"A test is taken to hold {SOIL_TEST_YEARS} years (common practice, no source). "
    old = [plot.name for plot in due if plot.pk in last]
    words += f"Older by the end of this year: {_cut(old)}. " if old else ""
    words += f"Never tested, so that no day follows: {_cut([plot.name for plot in never])}. " if never else ""
    plural = "" if len(due) == 1 else "s"
    return PlanWork(
        f"soil/{today.year}",
        "soil_test",
        f"Test the soil of {len(due)} plot{plural}",
        f"{words}Take cores at the depth that the laboratory asks for, the same as the last time.",
        "Probe, bucket, bags, pen",
        due_on=due_on,
    )


def _order_of(season):
    return season.year, season.kind == Season.Kind.COOL


def _name(season):
    return str(season).lower()


def _count(plantings):
    return f"{len(plantings)} plot{'' if len(plantings) == 1 else 's'}"


def _names(plantings):
    return f"Plots: {_listed(plantings)}." if plantings else ""


def _listed(plantings):
    return _cut([each.plot.name for each in plantings])


def _cut(names):
    more = len(names) - NAMED
    return ", ".join(names[:NAMED]) + (f" and {more} more" if more > 0 else "")


def _day(day):
    return f"{day:%b} {day.day}, {day.year}"
