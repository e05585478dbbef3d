"""Which plots an address asks for, and how they are coloured and sorted: read from its query, and written into one."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import Http404

from blends.models import Blend
from blends.queries.overview import FALLOW, UNDECIDED, Wanted, latest_used
from config.errors import Refused
from fieldlog.queries.measures import LABELS, PLANTED
from plots.access import id_in
from plots.models import Plot

NOT_DECIDED = "none"
OBJECTIVES = [*Plot.Objective.choices, (NOT_DECIDED, "Not decided")]
NAME, ACRES, VISITED = "name", "acres", "visited"
SORTS = {NAME: "by name", ACRES: "by acres", VISITED: "by last visit"}
DEEPEST_ZOOM = 24


@dataclass(frozen=True)
class Asked:
    """What the address of the plots page asks for; `blend` is the one that is filtered by, if it is a blend."""

    wanted: Wanted
    season: object = None
    is_season_named: bool = False
    colour: str = PLANTED
    sort: str = NAME
    blend: Blend | None = None

    @property
    def objective(self):
        """As the form has it: '' any, 'none' not decided."""
        asked = self.wanted.objective
        return "" if asked is None else asked or NOT_DECIDED

    @property
    def use(self):
        """As the form has it."""
        return str(self.wanted.use)

    @property
    def is_filtered_too(self):
        """Whether more than words in a plot's name or notes narrows the plots down."""
        return bool(self.wanted.use or self.wanted.objective is not None)

    @property
    def query(self):
        """The query that asks the same again, without what goes without saying."""
        return self._query()

    @property
    def query_of_all(self):
        """The same without what filters."""
        return self._query(only=("season", "colour", "sort"))

    def sorted_by(self, sort):
        return self._query(sort=sort)

    def _query(self, only=None, **instead):
        season = self.season.slug if self.season and self.is_season_named else ""
        said = {
            "q": self.wanted.search,
            "season": season,
            "blend": self.use,
            "objective": self.objective,
            "colour": "" if self.colour == PLANTED else self.colour,
            "sort": "" if self.sort == NAME else self.sort,
        } | {name: "" if value in (NAME, PLANTED) else value for name, value in instead.items()}
        kept = {k: v for k, v in said.items() if v and (only is None or k in only)}
        if self.wanted.archived and only is None:
            kept["archived"] = "on"
        return urlencode(kept)


def asked_for(request, property, seasons):
    """What `request` asks for, as `Asked`.

    Raises
    ------
    Http404
        A season or blend that the property does not have.
    Refused
        Something else that cannot be asked for.
    """
    query = request.GET
    use, blend = _use_in(query.get("blend", ""), property)
    objective = _one_of(
        query, "objective", {"": None} | {key: "" if key == NOT_DECIDED else key for key, _ in OBJECTIVES}
    )
    return Asked(
        wanted=Wanted(
            search=query.get("q", "").strip(), use=use, objective=objective, archived="archived" in query
        ),
        season=season_asked_for(request, seasons),
        is_season_named=bool(query.get("season")),
        colour=_one_of(query, "colour", {"": PLANTED} | {key: key for key in LABELS}),
        sort=_one_of(query, "sort", {"": NAME} | {key: key for key in SORTS}),
        blend=blend,
    )


def season_asked_for(request, seasons):
    """The season that `?season=2027-warm` names, or the latest in which anything is planned or planted."""
    asked = request.GET.get("season")
    if not asked:
        return latest_used(seasons)
    for season in seasons:
        if season.slug == asked:
            return season
    raise Http404


def zoom_asked(query):
    """The whole number of `?zoom=`.

    Raises
    ------
    Refused
        Anything else, or none at all.
    """
    text = query.get("zoom", "")
    if not (text.isascii() and text.isdecimal() and len(text) <= 2 and int(text) <= DEEPEST_ZOOM):
        raise Refused(
            f"zoom is {text[:40]!r}; a whole number from 0 to {DEEPEST_ZOOM} is accepted beside bbox."
        )
    return int(text)


def _use_in(text, property):
    if text in ("", FALLOW, UNDECIDED):
        return text, None
    pk = id_in(text)
    blend = None if pk is None else Blend.objects.filter(property=property, pk=pk).first()
    if blend is None:
        raise Http404
    return blend.pk, blend


def _one_of(query, name, known):
    text = query.get(name, "")
    if text not in known:
        accepted = ", ".join(filter(None, known))
        raise Refused(f"{name} is {text[:40]!r}; {accepted} are accepted, or nothing.")
    return known[text]
