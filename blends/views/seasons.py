"""Seasons: the list, the page that gives each plot its blend, and the page that records what was planted."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Count, Q, Value
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from blends.access import season_for
from blends.forms.seasons import (
    FALLOW,
    BulkForm,
    CopyForm,
    PlantedDayForm,
    SeasonForm,
    as_shown,
    assignment_rows,
    chosen,
    planted_rows,
    use_choices,
)
from blends.models import COUNTS, Planting, PlantingRecord, Season
from blends.queries import blends_to_assign, season_rows, season_sums, seasons_for
from blends.queries.fieldwork import follow_ups
from blends.queries.seasons import SeasonRows
from blends.services.seasons import assign, copy_assignments, open_season, record_planted
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import EDIT, RECORD, VIEW, id_in, property_for
from plots.models import Plot

PLOTS_A_PAGE = 100


@section("seasons")
@require_http_methods(["GET", "HEAD", "POST"])
def seasons(request, slug):
    property = property_for(request.user, slug, EDIT if request.method == "POST" else VIEW)
    plot_count = Plot.objects.filter(property=property, is_archived=False).count()
    decided = Count("plantings", filter=Q(plantings__plot__is_archived=False))
    rows = list(seasons_for(property).annotate(undecided_count=Value(plot_count) - decided))
    form = SeasonForm(request.POST or None, initial=_next_season(rows))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        opened = open_season(property=property, year=values["year"], kind=values["kind"])
        return redirect("season", slug, opened.slug)
    return render(
        request,
        "blends/seasons.html",
        {
            "property": property,
            "rows": rows,
            "form": form,
            "complaints": complaints(form),
            "plot_count": plot_count,
        },
    )


def _next_season(rows):
    """The season that follows the latest one, else the next one to be sown."""
    if not rows:
        today = timezone.localdate()
        return {"year": today.year + (today.month > 9), "kind": "cool" if 5 <= today.month <= 9 else "warm"}
    latest = rows[0]
    if latest.kind == Season.Kind.WARM:
        return {"year": latest.year, "kind": Season.Kind.COOL}
    return {"year": latest.year + 1, "kind": Season.Kind.WARM}


@section("seasons")
@require_http_methods(["GET", "HEAD", "POST"])
def season(request, slug, season):
    """One page for the whole property; posted, `act` is save (or `go`, a page to go to), bulk or copy."""
    season = season_for(request.user, slug, season, EDIT if request.method == "POST" else VIEW)
    found = _SeasonPage(request, season)
    if request.method == "POST" and found.stored():
        return redirect(found.next_address())
    return render(request, "blends/season.html", found.context())


class _SeasonPage:
    """One page of a season's plots with its forms, whether just opened or given back with errors."""

    def __init__(self, request, season):
        self.request, self.season = request, season
        self.search = request.GET.get("q", "").strip()
        self.undecided = request.GET.get("show") == "undecided"
        self.sums = season_sums(season)
        self.others = list(Season.objects.filter(property=season.property).exclude(pk=season.pk))
        data = request.POST if request.method == "POST" else None
        act = request.POST.get("act", "save")
        self.uses = self._uses()
        self.copy = CopyForm(data if act == "copy" else None, season=season, others=self.others)
        self.bulk = BulkForm(data if act == "bulk" else None, uses=self.uses)
        self.act = act
        self.complaints = []
        self.rows = assignment_rows(self.uses, data) if data and act != "copy" else None

    def _uses(self):
        """What can be chosen: the blends in use, and those that a plot of the season has already."""
        blends = list(blends_to_assign(self.season.property))
        known = {blend.pk for blend in blends}
        used = {row.blend.pk: row.blend for row in self.sums.by_blend if row.blend.pk not in known}
        return use_choices([*blends, *used.values()])

    def stored(self):
        """Do what was posted; False when something has to be mended first."""
        try:
            return self._copied() if self.act == "copy" else self._assigned()
        except SwardbookError as error:
            self.complaints.append(Complaint(error.sentence))
            return False

    def _copied(self):
        if not self.copy.is_valid():
            self.complaints = complaints(self.copy)
            return False
        [source] = [other for other in self.others if other.pk == self.copy.cleaned_data["from_season"]]
        changed = copy_assignments(season=self.season, from_season=source, user=self.request.user)
        messages.success(
            self.request, f"{_plots(changed)} got what {_it(changed)} had in the {_named(source)}."
        )
        return True

    def _assigned(self):
        self._name_rows()
        forms = [self.rows] if self.act != "bulk" else [self.rows, self.bulk]
        if not all([form.is_valid() for form in forms]):
            self.complaints = complaints(*forms)
            return False
        assignments = [
            self._assignment(form.cleaned_data) for form in self.rows.filled if self._is_meant(form)
        ]
        if self.act == "bulk" and not any(form.cleaned_data["tick"] for form in self.rows.filled):
            self.complaints.append(Complaint("No plot is ticked; tick the plots that should get it."))
            return False
        changed = assign(season=self.season, user=self.request.user, assignments=assignments)
        messages.success(self.request, f"{_plots(changed)} changed." if changed else "Nothing was changed.")
        return True

    def _name_rows(self):
        """Give each posted row the name of its plot, for what is said about it."""
        names = dict(Plot.objects.filter(property=self.season.property).values_list("pk", "name"))
        for form in self.rows.forms:
            plot_id = form["plot_id"].value() or ""
            form.place = f"{names.get(id_in(plot_id), 'Plot')},"

    def _is_meant(self, form):
        return form.is_changed or (self.act == "bulk" and form.cleaned_data["tick"])

    def _assignment(self, row):
        use, method = row["use"], row["method"]
        if self.act == "bulk" and row["tick"]:
            use, method = self.bulk.cleaned_data["bulk_use"], self.bulk.cleaned_data["bulk_method"]
        return {"plot_id": row["plot_id"], "method": method, **chosen(use)}

    def next_address(self):
        query = self.request.GET.copy()
        if self.request.POST.get("go", "").isdecimal():
            query["page"] = self.request.POST["go"]
        return f"{self.request.path}?{query.urlencode()}" if query else self.request.path

    def context(self):
        plots = season_rows(self.season, search=self.search, undecided=self.undecided)
        page = Paginator(plots, PLOTS_A_PAGE).get_page(self.request.GET.get("page"))
        may_edit = EDIT in self.season.property.allowed
        rows = self._given_back() if self.rows is not None else self._opened(list(page.object_list))
        return {
            "property": self.season.property,
            "season": self.season,
            "sums": self.sums,
            "page": page,
            "rows": rows,
            "management_form": self.rows.management_form if may_edit else "",
            "may_edit": may_edit,
            "search": self.search,
            "undecided": self.undecided,
            "bulk": self.bulk,
            "copy": self.copy if self.others else None,
            "complaints": self.complaints,
            "follow_ups": list(follow_ups(self.season.property, self.season)),
            "today": timezone.localdate(),
            "is_changed": self.request.method == "POST",
        }

    def _opened(self, rows):
        open_rows = [row for row in rows if not is_locked(row.planting)]
        self.rows = assignment_rows(self.uses, initial=[_initial(row) for row in open_rows])
        forms = dict(zip((row.plot.pk for row in open_rows), self.rows.forms, strict=True))
        return [(row, forms.get(row.plot.pk)) for row in rows]

    def _given_back(self):
        """The rows that were posted, as they were typed; one that was planted meanwhile is locked."""
        readable = [form for form in self.rows.forms if form.is_bound and "plot_id" not in form.errors]
        forms = {form.cleaned_data["plot_id"]: form for form in readable if form.cleaned_data.get("plot_id")}
        rows = SeasonRows(season_rows(self.season).plots.filter(pk__in=list(forms)), self.season)
        return [(row, None if is_locked(row.planting) else forms[row.plot.pk]) for row in rows]


def is_locked(planting):
    """Whether the plot has been planted: what it got is then a record and no plan."""
    return planting is not None and planting.state != Planting.State.PLANNED


def _initial(row):
    planting = row.planting
    use = "" if planting is None else FALLOW if planting.is_fallow else str(planting.blend_id)
    method = Planting.Method.DRILLED if planting is None else planting.method
    return {"plot_id": row.plot.pk, "was": as_shown(use, method), "use": use, "method": method}


def _plots(count):
    return "1 plot" if count == 1 else f"{count} plots"


def _it(count):
    return "it" if count == 1 else "they"


def _named(season):
    return str(season).lower()


@section("seasons")
@require_http_methods(["GET", "HEAD", "POST"])
def season_planted(request, slug, season):
    """Record what was planted on one day; `?plot=` names one plot, also to correct it."""
    season = season_for(request.user, slug, season, RECORD)
    recorded = _record_of(season, request.GET.get("plot", ""))
    if recorded is not None:
        return redirect("record", slug, recorded.pk)
    page = Paginator(_to_record(season, request.GET), PLOTS_A_PAGE).get_page(request.GET.get("page"))
    plantings = list(page.object_list)
    day, rows = _planted_forms(request, plantings)
    found = []
    if request.method == "POST":
        if all([day.is_valid(), rows.is_valid()]):
            count = _recorded(season, day, rows)
            if count:
                on = day.cleaned_data["on"]
                messages.success(request, f"{_plots(count)} recorded as planted on {on:%-d %B %Y}.")
                return redirect("season", slug, season.slug)
            if not complaints(day, rows):
                found.append(Complaint("No plot is ticked; tick the plots that were planted that day."))
        found += complaints(day, rows)
    forms = {str(form["planting_id"].value()): form for form in rows.forms}
    return render(
        request,
        "blends/season_planted.html",
        {
            "property": season.property,
            "season": season,
            "page": page,
            "day": day,
            "management_form": rows.management_form,
            "rows": [
                (planting, forms[str(planting.pk)]) for planting in plantings if str(planting.pk) in forms
            ],
            "complaints": found,
            "one": request.GET.get("plot"),
        },
    )


def _record_of(season, plot):
    """The latest planting record of the plot that is asked for: day and acres are corrected there."""
    if not plot.isdecimal():
        return None
    rows = PlantingRecord.objects.filter(COUNTS, planting__season=season, planting__plot=id_in(plot))
    return rows.order_by("-done_on", "-created_at").first()


def _to_record(season, asked):
    rows = season.plantings.filter(blend__isnull=False, plot__is_archived=False)
    rows = (
        rows.select_related("plot__boundary", "blend")
        .defer("plot__boundary__geometry")
        .order_by("plot__name")
    )
    if asked.get("plot", "").isdecimal():
        may_be = [Planting.State.PLANNED, Planting.State.DRILLED]
        return rows.filter(plot=id_in(asked["plot"]), state__in=may_be)
    return rows.filter(state=Planting.State.PLANNED)


def _planted_forms(request, plantings):
    if request.method == "POST":
        rows = planted_rows(request.POST)
        for form in rows.forms:
            form.place = next(
                (p.plot.name for p in plantings if str(p.pk) == form["planting_id"].value()), ""
            )
        return PlantedDayForm(request.POST), rows
    one = plantings[0] if len(plantings) == 1 else None
    day = PlantedDayForm(initial={"on": one.planted_on if one else None})
    initial = [
        {"planting_id": each.pk, "tick": each is one, "acres": _acres_to_offer(each)} for each in plantings
    ]
    return day, planted_rows(initial=initial)


def _acres_to_offer(planting):
    if planting.planted_acres is not None:
        return planting.planted_acres
    acres = planting.plot.mapped_acres
    return None if acres is None else f"{acres:.2f}"


def _recorded(season, day, rows):
    """How many of the ticked plots were stored: all of them, or none with the reason at its row."""
    ticked = {form.cleaned_data["planting_id"]: form for form in rows.filled if form.cleaned_data["tick"]}
    plantings = season.plantings.in_bulk(list(ticked))
    try:
        with transaction.atomic():
            for planting_id, form in ticked.items():
                if planting_id in plantings:
                    _record(plantings[planting_id], form, day.cleaned_data["on"])
    except SwardbookError:
        return 0
    return len(plantings)


def _record(planting, form, on):
    try:
        record_planted(planting=planting, on=on, acres=form.cleaned_data["acres"])
    except SwardbookError as error:
        show_refusal(form, error)
        raise
