"""What becomes of plantings when their plots are split or merged: receivers of plots/services/reshaping.py."""

from blends.models import Planting, Season
from blends.services.stale import mark_orders_stale
from plots.services.reshaping import CannotUndo

_PLANNED = Planting.State.PLANNED


def on_about_to_reshape(sender, plot_ids, **kwargs):
    """Lock the seasons first, as assigning does: taken after the plots, the two would wait for each other."""
    seasons = Season.objects.filter(plantings__plot__in=plot_ids, plantings__state=_PLANNED)
    list(Season.objects.filter(pk__in=seasons.values("pk")).order_by("pk").select_for_update())


def on_plot_split(sender, plot, new_plots, **kwargs):
    """What is planned for the plot is planned for the new ones, too; what has been planted stays with it."""
    planned = list(plot.plantings.filter(state=_PLANNED))
    Planting.objects.bulk_create([_planned(row, new) for row in planned for new in new_plots])
    mark_orders_stale(season__in={row.season_id for row in planned})
    planted = (
        plot.plantings.exclude(state=_PLANNED)
        .select_related("season")
        .order_by("-season__year", "season__kind")
    )
    latest = planted.filter(planted_acres__isnull=False).first()
    if latest is None:
        return []
    return [
        f"What was planted before the split stays with {plot}, with the acres of its day: "
        f"{latest.planted_acres.normalize():f} in the {_named(latest.season)}."
    ]


def on_split_undone(sender, plot, archived, **kwargs):
    """A planting of a piece would be left on a plot that is archived for being no more."""
    row = (
        Planting.objects.filter(plot__in=archived)
        .exclude(state=_PLANNED)
        .select_related("plot", "season")
        .first()
    )
    if row is not None:
        raise CannotUndo(
            f"{row.plot} was planted in the {_named(row.season)}, so the split is not undone. Merge the plots instead."
        )


def on_plots_merged(sender, kept, archived, **kwargs):
    """The kept plot takes over what is planned for the others where nothing is decided for it; else its own stands."""
    own = {row.season_id: row for row in kept.plantings.select_related("blend", "season")}
    theirs = Planting.objects.filter(plot__in=archived).select_related("blend", "season", "plot")
    taken, said = [], []
    for row in theirs.order_by("season__year", "season__kind", "plot__name"):
        standing = own.get(row.season_id)
        if row.state != _PLANNED:
            if standing is not None and standing.state == _PLANNED:
                said.append(_planted_in_part(kept, row, standing))
        elif standing is None:
            own[row.season_id] = _planned(row, kept)
            taken.append(own[row.season_id])
        elif _what(standing) != _what(row):
            said.append(
                f"{_named(row.season, starts=True)}: {row.plot} was to get {_said(row)}, and {kept} "
                f"{'has' if standing.state != _PLANNED else 'gets'} {_said(standing)}; that stands."
            )
    Planting.objects.bulk_create(taken)
    mark_orders_stale(season__in={row.season_id for row in taken})
    return said


def _planned(row, plot):
    return Planting(
        season_id=row.season_id,
        season=row.season,
        plot=plot,
        blend=row.blend,
        is_fallow=row.is_fallow,
        method=row.method,
    )


def _planted_in_part(kept, row, standing):
    return (
        f"{_named(row.season, starts=True)}: the ground of {row.plot} has been planted, and {kept} is planned to get "
        f"{_said(standing)} on all of its ground. Look whether its order still fits."
    )


def _what(row):
    return row.blend_id, row.is_fallow, row.method


def _said(row):
    if row.is_fallow:
        return "fallow"
    return f"{row.blend} ({row.get_method_display().lower()})"


def _named(season, *, starts=False):
    name = str(season)
    return name if starts else name[0].lower() + name[1:]
