"""Which work somebody asks for, on the page and by the API alike."""

from django.db.models import F

from config.errors import Refused
from fieldlog.models import WorkItem
from fieldlog.queries.work import mine_or_nobodys


def filtered(rows, user, asked, plot_ids=None):
    """The rows that an address asks for.

    Parameters
    ----------
    rows : QuerySet of WorkItem
    user : User
    asked : QueryDict
        `state` (without it: open; "all": every one), `kind`, `mine`, `sort` ("due" or "plot").
    plot_ids : list of int, optional

    Raises
    ------
    Refused
        A word that is none of these.
    """
    state = _one_of(asked, "state", [*WorkItem.State.values, "all"]) or WorkItem.State.OPEN
    if state != "all":
        rows = rows.filter(state=state)
    if kind := _one_of(asked, "kind", WorkItem.Kind.values):
        rows = rows.filter(kind=kind)
    if asked.get("mine") in ("true", "1"):
        rows = rows.filter(mine_or_nobodys(user))
    if plot_ids is not None:
        rows = rows.filter(plot_id__in=plot_ids)
    if _one_of(asked, "sort", ["due", "plot"]) == "plot":
        rows = rows.order_by(
            F("plot__name").asc(nulls_last=True), F("due_on").asc(nulls_last=True), "created_at", "pk"
        )
    return rows


def _one_of(asked, name, accepted):
    word = asked.get(name) or ""
    if word and word not in accepted:
        raise Refused(f"{name} is {word[:40]!r}; accepted are {', '.join(accepted)}.")
    return word
