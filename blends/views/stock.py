"""Seed in stock: the list, its file, a walk through the shed that counts it, the sheet to take along."""

from datetime import date

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from blends.forms.figures import FigureField
from blends.models import Lot
from blends.queries.inoculants import inoculants_of, mark
from blends.queries.lots import lots_of
from blends.queries.stock import (
    by_item,
    counts_at,
    lots_at,
    places_known,
    places_of,
    searched_lots,
    stock_rows,
)
from blends.services.lots import count_several
from blends.services.stock import MOST_LB
from blends.stock_files import stock_csv, stock_xlsx
from config.errors import SwardbookError
from config.pages import Complaint, section
from config.spreadsheets import XLSX
from plots.access import COSTS, RECORD, id_in, property_for

FILES = {"csv": ("text/csv; charset=utf-8", stock_csv), "xlsx": (XLSX, stock_xlsx)}


@section("stock")
@require_safe
def stock(request, slug):
    """`?q=` searches; what is used up is folded away."""
    property = property_for(request.user, slug)
    search = request.GET.get("q", "").strip()
    rows = stock_rows(searched_lots(property, search), with_costs=COSTS in property.allowed)
    here, gone = [row for row in rows if row.lot.on_hand_lb], [row for row in rows if not row.lot.on_hand_lb]
    today = timezone.localdate()
    shelf = [mark(row, today) for row in inoculants_of(property).filter(used_up_on=None)]
    known_usd = [row.value_usd for row in here if row.value_usd is not None]
    return render(
        request,
        "blends/stock.html",
        {
            "property": property,
            "search": search,
            "groups": by_item(here),
            "gone": by_item(gone),
            "gone_count": len(gone),
            "lb": sum(row.lot.on_hand_lb for row in here),
            "lot_count": len(here),
            "old_count": sum(row.age is not None and row.age.is_old for row in here),
            "unknown_count": sum(row.lacks_tag for row in here),
            "treated_count": sum(row.is_treated for row in here),
            "value_usd": sum(known_usd) if known_usd else None,
            "unpriced_count": len(here) - len(known_usd),
            "inoculants": shelf,
            "inoculants_old": sum(row.is_expired for row in shelf),
        },
    )


@section("stock")
@require_safe
def stock_file(request, slug, form):
    """The stock as `csv` (RFC 4180) or `xlsx`; what is not known is empty. Costs for who may see them."""
    property = property_for(request.user, slug)
    if form not in FILES:
        raise Http404
    with_costs = COSTS in property.allowed
    rows = stock_rows(searched_lots(property, request.GET.get("q", "")), with_costs=with_costs)
    media_type, contents = FILES[form]
    return HttpResponse(
        contents(rows, with_costs),
        content_type=media_type,
        headers={
            "Content-Disposition": f'attachment; filename="{slug}-stock.{form}"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, no-store",
        },
    )


@section("stock")
@require_safe
def stock_sheet(request, slug):
    """A sheet to write counts on: every lot by its place, without the book's pounds."""
    property = property_for(request.user, slug)
    rows = stock_rows(lots_of(property, on_hand_lb__gt=0), with_costs=False)
    at = {}
    for row in sorted(rows, key=lambda row: (str(row.lot.item), row.lot.lot_number, row.lot.pk)):
        for place, _ in row.places:
            at.setdefault(place, []).append(row.lot)
    places = sorted(at.items(), key=lambda each: (not each[0], each[0].casefold()))
    return render(request, "blends/stock_sheet.html", {"property": property, "places": places})


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def stock_count(request, slug):
    """One place at a time (`?place=`), the book's pounds hidden; `&found=` a day shows what was counted on it."""
    property = property_for(request.user, slug, RECORD)
    found_on = _day_asked(request.GET.get("found", ""))
    if "place" not in request.GET:
        context = {"property": property, "places": places_of(property), "known": places_known(property)}
        return render(request, "blends/stock_count_places.html", context)
    place = " ".join(request.GET["place"].split())[:80]
    place = next((known for known in places_known(property) if known.casefold() == place.casefold()), place)
    if request.method != "POST" and found_on is not None:
        counted = counts_at(property, place, found_on)
        counted_ids = {entry.lot_id for entry in counted}
        context = {
            "property": property,
            "place": place,
            "on": found_on,
            "counted": counted,
            "off_count": sum(bool(entry.lb) for entry in counted),
            "uncounted": [lot for lot in lots_at(property, place) if lot.pk not in counted_ids],
            "others": [each for each in places_of(property) if each[0] != place],
        }
        return render(request, "blends/stock_counted.html", context)
    page = _CountPage(request, property, place)
    if request.method == "POST" and page.is_stored():
        query = urlencode({"place": place, "found": timezone.localdate().isoformat()})
        return redirect(f"{request.path}?{query}")
    return render(request, "blends/stock_count.html", page.context())


def _day_asked(text):
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


class _CountPage:
    """The lots at a place with a field each, and others that may be found there."""

    def __init__(self, request, property, place):
        self.request, self.property, self.place = request, property, place
        self.lots = lots_at(property, place)
        self.problems = []
        data = request.POST
        known = {lot.pk for lot in self.lots}
        added = [lot_id for text in data.getlist("added") if (lot_id := id_in(text)) and lot_id not in known]
        if added:  # seed that the book has elsewhere
            self.lots += list(lots_of(property, pk__in=added))
        self.rows = [_CountRow(lot, data) for lot in self.lots]

    def is_stored(self):
        if self.request.POST.get("act") == "add":
            return False
        for row in self.rows:
            row.read()
        self.problems = [row.complaint() for row in self.rows if row.error]
        counts = [row for row in self.rows if row.lb is not None]
        if self.problems:
            return False
        if not counts:
            self.problems = [Complaint("Nothing is counted yet; write the pounds of at least one lot.")]
            return False
        try:
            stored = count_several(
                counts=[(row.lot, self.place, row.lb) for row in counts],
                on=timezone.localdate(),
                user=self.request.user,
            )
        except SwardbookError as error:
            row = counts[error.position]
            row.error = error.sentence
            self.problems = [row.complaint()]
            return False
        messages.success(self.request, f"{len(stored)} count{'s' if len(stored) != 1 else ''} kept.")
        return True

    def context(self):
        shown = {lot.pk for lot in self.lots}
        others = Lot.objects.filter(property=self.property).exclude(pk__in=shown)
        others = others.select_related("species", "blend").order_by(
            "species__common_name", "blend__name", "pk"
        )
        return {
            "property": self.property,
            "place": self.place,
            "rows": self.rows,
            "others": others,
            "complaints": self.problems,
        }


class _CountRow:
    """A lot and what was typed for it; empty is not counted."""

    _FIELD = FigureField(required=False, min_value=0, max_value=MOST_LB, decimal_places=3)

    def __init__(self, lot, data):
        self.lot, self.name = lot, f"lot-{lot.pk}"
        self.typed, self.is_added = data.get(self.name, ""), str(lot.pk) in data.getlist("added")
        self.lb, self.error = None, ""

    def read(self):
        try:
            self.lb = self._FIELD.clean(self.typed)
        except ValidationError as error:
            self.error = " ".join(error.messages)

    def complaint(self):
        return Complaint(self.error, str(self.lot), self.name)
