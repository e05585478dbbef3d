"""Seasons, and what each plot gets in them."""

from collections import defaultdict
from decimal import Decimal, InvalidOperation

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from blends.models import COUNTS, Blend, Planting, Season, SeedOrder
from blends.services.stale import compute_soon, mark_orders_stale
from config.errors import Conflict, Refused
from plots.models import Plot
from plots.services.rows import save_clean

CHUNK = 500  # ids in one statement


@transaction.atomic
def open_season(*, property, year, kind):
    """The season of that year and kind; opened, with its order, when it is not there yet.

    Raises
    ------
    Refused
        A year or a kind that is not accepted.
    """
    season = Season.objects.filter(property=property, year=year, kind=kind).first()
    if season is None:
        season = save_clean(Season(property=property, year=year, kind=kind))
        compute_soon(SeedOrder.objects.create(season=season).pk)
    return season


@transaction.atomic
def assign(*, season, user, assignments):
    """Say what plots get in a season. Plots that are not named stay as they are.

    Parameters
    ----------
    season : Season
    user : User
    assignments : list of dict
        `plot_id`; `blend_id` or None; `fallow` (bool); `method` (Planting.Method, drilled when left out).
        Neither a blend nor fallow means undecided.

    Returns
    -------
    int
        How many plots changed.

    Raises
    ------
    Refused
        A plot or blend of another property, an archived one, a plot named twice, both a blend and fallow,
        an unknown method.
    Conflict
        A plot that has been planted already.
    """
    Season.objects.select_for_update().get(pk=season.pk)
    wanted = _checked(season, assignments)
    current = {row.plot_id: row for row in season.plantings.all() if row.plot_id in wanted}
    changed = {plot_id: what for plot_id, what in wanted.items() if _what(current.get(plot_id)) != what}
    planted = [
        current[plot_id] for plot_id in changed if plot_id in current and _is_planted(current[plot_id])
    ]
    if planted:
        row = planted[0]
        raise Conflict(f"{row.plot} was planted on {row.planted_on}; what it got is not changed any more.")

    removed = [current[plot_id].pk for plot_id, what in changed.items() if what is None]
    _check_no_past(removed)
    updated, created = defaultdict(list), []
    for plot_id, what in changed.items():
        if what is None:
            continue
        if plot_id in current:
            updated[what].append(current[plot_id].pk)
        else:
            blend_id, is_fallow, method = what
            created.append(
                Planting(
                    season=season, plot_id=plot_id, blend_id=blend_id, is_fallow=is_fallow, method=method
                )
            )
    for ids in _chunks(removed):
        Planting.objects.filter(pk__in=ids).delete()
    for (blend_id, is_fallow, method), row_ids in updated.items():
        for ids in _chunks(row_ids):
            Planting.objects.filter(pk__in=ids).update(
                blend=blend_id,
                is_fallow=is_fallow,
                method=method,
                cost_used_usd=None,
                cost_bought_usd=None,
            )
    Planting.objects.bulk_create(created, batch_size=CHUNK)
    if changed:
        mark_orders_stale(season=season)
    return len(changed)


@transaction.atomic
def copy_assignments(*, season, from_season, user=None):
    """Give every plot that is undecided what it got in another season of the property.

    Plots and blends that have been archived since are passed over; a blend gives way to its newest version.

    Returns
    -------
    int
        How many plots changed.

    Raises
    ------
    Refused
        A season of another property.
    """
    if from_season.property_id != season.property_id:
        raise Refused("The season to copy from belongs to another property.")
    newest = _newest_versions(season.property_id)
    decided = season.plantings.values_list("plot_id", flat=True)
    rows = from_season.plantings.filter(plot__is_archived=False).exclude(plot__in=decided)
    assignments = [
        {
            "plot_id": row.plot_id,
            "blend_id": newest.get(row.blend_id),
            "fallow": row.is_fallow,
            "method": row.method,
        }
        for row in rows
        if row.is_fallow or row.blend_id in newest
    ]
    return assign(season=season, user=user, assignments=assignments)


@transaction.atomic
def record_planted(*, planting, on, acres):
    """Say that a plot was planted: the day, the acres, and the boundary that held then.

    Recording again corrects the day and the acres.

    Raises
    ------
    Refused
        A fallow plot, a day in the future, acres that are not above 0.
    Conflict
        The stand has been recorded as up or terminated, or has planting records, which are corrected themselves.
    """
    planting = Planting.objects.select_related("plot", "season", "blend").get(pk=planting.pk)
    if planting.is_fallow:
        raise Refused(f"{planting.plot} is fallow in the {planting.season}; there is nothing to plant.")
    Blend.objects.select_for_update().get(pk=planting.blend_id)  # changing it at the same time waits
    planting.refresh_from_db(fields=["blend", "state"])
    if planting.state not in (Planting.State.PLANNED, Planting.State.DRILLED):
        raise Conflict(f"{planting.plot} is recorded as {planting.get_state_display().lower()} already.")
    record = planting.records.filter(COUNTS).first()
    if record is not None:
        raise Conflict(
            f"{planting.plot} has a planting record of {record.done_on} with its seed; correct the day and the acres there."
        )
    if on > timezone.localdate():
        sentence = f"{on} is in the future; accepted is today or a day before."
        raise Refused(sentence, fields={"on": [sentence]})
    if planting.state == Planting.State.PLANNED:
        planting.boundary_id = planting.plot.boundary_id
    planting.state = Planting.State.DRILLED
    planting.planted_on = on
    planting.planted_acres = _acres(acres)
    save_clean(planting)
    mark_orders_stale(season=planting.season_id)
    return planting


def _acres(value):
    try:
        return Decimal(str(value)).quantize(Decimal("0.001"))
    except InvalidOperation:
        sentence = f"Planted acres are “{value}”; accepted is a number above 0."
        raise Refused(sentence, fields={"acres": [sentence]}) from None


def _checked(season, assignments):
    """{plot_id: (blend_id, is_fallow, method) or None for undecided}, every id checked."""
    plots = dict(
        Plot.objects.filter(property=season.property_id, is_archived=False).values_list("pk", "name")
    )
    used = season.plantings.exclude(blend=None).values("blend")
    blends = set(
        Blend.objects.filter(property=season.property_id, is_archived=False).values_list("pk", flat=True)
    ) | set(used.values_list("blend", flat=True))
    wanted = {}
    for position, given in enumerate(assignments):
        plot_id, blend_id, is_fallow = given["plot_id"], given.get("blend_id"), bool(given.get("fallow"))
        method = given.get("method") or Planting.Method.DRILLED
        if plot_id not in plots:
            _refuse(position, "plot_id", f"Plot {plot_id} is not a plot of this property, or is archived.")
        name = plots[plot_id]
        if plot_id in wanted:
            _refuse(position, "plot_id", f"{name} is named twice; once is accepted.")
        if blend_id is not None and blend_id not in blends:
            _refuse(
                position, "blend_id", f"{name}: blend {blend_id} is not one of this property, or is archived."
            )
        if blend_id is not None and is_fallow:
            _refuse(position, "fallow", f"{name} has a blend and is fallow; one of the two is accepted.")
        if method not in Planting.Method.values:
            _refuse(position, "method", f"{name}: method is “{method}”; accepted are drilled and broadcast.")
        is_decided = blend_id is not None or is_fallow
        wanted[plot_id] = (blend_id, is_fallow, str(method)) if is_decided else None
    return wanted


def _refuse(position, field, sentence):
    raise Refused(sentence, fields={f"{position}.{field}": [sentence]})


def _check_no_past(planting_ids):
    """Let no plan be taken back that something was recorded for, though it was struck since: records are kept.

    Raises
    ------
    Conflict
    """
    for ids in _chunks(planting_ids):
        rows = Planting.objects.filter(pk__in=ids).select_related("plot")
        kept = rows.filter(Q(records__isnull=False) | Q(terminations__isnull=False)).first()
        if kept is not None:
            raise Conflict(
                f"A record of {kept.plot} was struck and is kept with its plan, so the plot cannot be undecided again; "
                "a blend or fallow is accepted."
            )


def _what(planting):
    return planting and (planting.blend_id, planting.is_fallow, planting.method)


def _is_planted(planting):
    return planting.state != Planting.State.PLANNED


def _newest_versions(property_id):
    """{blend id: id of its newest version}, for blends that are in use."""
    newest = {}
    rows = Blend.objects.filter(property=property_id).order_by("-version")
    following = {row.previous_id: row.pk for row in rows if row.previous_id}
    archived = {row.pk for row in rows if row.is_archived}
    for row in rows:
        last = row.pk
        while last in following:
            last = following[last]
        if last not in archived:
            newest[row.pk] = last
    return newest


def _chunks(ids):
    return (ids[start : start + CHUNK] for start in range(0, len(ids), CHUNK))
