"""One seed lot: its tag, its photo, its ledger, later tests, and what is done to it."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import lot_for
from blends.forms.stock import CountedForm, LostForm, LotForm, LotTestForm, MovedForm, PhotoForm
from blends.models import StockEntry
from blends.photos import photo_answer
from blends.queries.lots import lots_of
from blends.queries.stock import findings_of, ledger_of, places_known, stock_rows
from blends.services import stock
from blends.services.lots import (
    add_test,
    check_may_take_back,
    correct_lot,
    may_take_back,
    set_tag_photo,
    strike_test,
    take_back_entry,
    why_not_taken_back,
)
from blends.services.tag_photos import MOST_BYTES
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import COSTS, EDIT, RECORD, VIEW, check_may_correct, id_in, may_correct
from plots.uploads import takes_files

ENTRIES_A_PAGE = 100


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def lot(request, slug, lot_id):
    """Posted, `act` is counted, lost, moved, take-back (`entry`, `reason`), strike or unstrike (`test`)."""
    found = lot_for(request.user, slug, lot_id, RECORD if request.method == "POST" else VIEW)
    page = _LotPage(request, found)
    if request.method == "POST" and page.is_done():
        return redirect("lot", slug, found.pk)
    return render(request, "blends/lot.html", page.context())


class _LotPage:
    def __init__(self, request, found):
        self.request, self.lot, self.property = request, found, found.property
        self.act = request.POST.get("act", "")
        data = request.POST if request.method == "POST" else None
        self.forms = {
            form.act: form(data if form.act == self.act else None)
            for form in (CountedForm, LostForm, MovedForm)
        }
        self.problems, self.reason_typed = [], request.POST.get("reason", "")

    def is_done(self):
        """Do what was posted; False when something has to be mended first."""
        if self.act in self.forms:
            form = self.forms[self.act]
            if form.is_valid():
                try:
                    getattr(self, f"_{self.act}")(dict(form.cleaned_data))
                except SwardbookError as error:
                    show_refusal(form, error)
                else:
                    return True
            self.problems = complaints(form)
            return False
        try:
            if self.act == "take-back":
                self._take_back()
            elif self.act in ("strike", "unstrike"):
                self._strike()
            else:
                return False
        except SwardbookError as error:
            self.problems = [Complaint(error.sentence)]
            return False
        return True

    def _counted(self, said):
        entry = stock.count(lot=self.lot, user=self.request.user, **said | {"place": said["place"] or None})
        differs = f"{entry.lb.normalize():+f} lb against the book" if entry.lb else "as the book has it"
        self._say(f"Counted: {entry.counted_lb.normalize():f} lb, {differs}.")

    def _lost(self, said):
        stock.lose(lot=self.lot, user=self.request.user, **said | {"place": said["place"] or None})
        self._say(f"Lost: {said['lb'].normalize():f} lb. {said['reason']}")

    def _moved(self, said):
        stock.move(lot=self.lot, user=self.request.user, **said)
        self._say(f"Moved: {said['lb'].normalize():f} lb to {said['to_place']}.")

    def _take_back(self):
        entry = get_object_or_404(
            StockEntry.objects.filter(lot=self.lot), pk=id_in(self.request.POST.get("entry", "")) or 0
        )
        check_may_take_back(self.request.user, self.property, entry)
        take_back_entry(entry=entry, user=self.request.user, reason=self.reason_typed)
        self._say("The entry is taken back. It stays in the ledger, struck through.")

    def _strike(self):
        test = get_object_or_404(self.lot.tests, pk=id_in(self.request.POST.get("test", "")) or 0)
        check_may_correct(self.request.user, self.property, test)
        is_struck = self.act == "strike"
        strike_test(test=test, user=self.request.user, is_struck=is_struck)
        self._say("The test counts no more." if is_struck else "The test counts again.")

    def _say(self, sentence):
        messages.success(self.request, sentence)

    def context(self):
        user, with_costs = self.request.user, COSTS in self.property.allowed
        [fresh] = lots_of(self.property, pk=self.lot.pk)
        fresh.property = self.property
        [row] = stock_rows([fresh], with_costs=with_costs)
        entries = ledger_of(fresh)
        page = Paginator(entries[::-1], ENTRIES_A_PAGE).get_page(self.request.GET.get("page"))
        asked = id_in(self.request.GET.get("back", self.request.POST.get("entry", ""))) or 0
        for entry in page:
            entry.may_be_taken_back = may_take_back(user, self.property, entry) and not why_not_taken_back(
                entry
            )
        tests = list(fresh.tests.select_related("created_by"))
        for test in tests:
            test.is_mine = may_correct(user, self.property, test)
        return {
            "property": self.property,
            "lot": fresh,
            "row": row,
            "page": page,
            "asked": next((entry for entry in page if entry.pk == asked and entry.may_be_taken_back), None),
            "reason_typed": self.reason_typed,
            "tests": tests,
            "forms": self.forms,
            "act": self.act,
            "places": places_known(self.property),
            "with_costs": with_costs,
            "complaints": self.problems,
            "findings": findings_of(fresh),
        }


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def lot_edit(request, slug, lot_id):
    """Correct what was copied from the tag; what it said before stays."""
    found = lot_for(request.user, slug, lot_id, EDIT)
    form = LotForm(request.POST if request.method == "POST" else None, instance=found)
    if request.method == "POST" and form.is_valid():
        try:
            correct_lot(lot=found, user=request.user, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The lot is corrected. What it said before is kept below its tag.")
            return redirect("lot", slug, found.pk)
    return render(
        request,
        "blends/lot_edit.html",
        {
            "property": found.property,
            "lot": found,
            "form": form,
            "before": before_of(found),
            "complaints": complaints(form),
        },
    )


def before_of(row):
    """What a row said before, the latest first: when, who and [(words, value)]."""
    return [
        {
            "at": parse_datetime(each["at"]),
            "by": each["by"],
            "was": [
                (_words(row, name), value) for name, value in each["was"].items() if _is_told(name, value)
            ],
        }
        for each in reversed(row.earlier)
    ]


def _is_told(name, value):
    """Costs are for some alone, and a first photo stands for nothing."""
    is_cost = name in ("goods_usd", "freight_usd", "cost_usd")
    return not is_cost and name != "tag_photo_type" and (name != "tag_photo" or bool(value))


def _words(row, name):
    return str(row._meta.get_field(name).verbose_name)


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def lot_test(request, slug, lot_id):
    """Enter a test made since."""
    found = lot_for(request.user, slug, lot_id, RECORD)
    form = LotTestForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            add_test(lot=found, user=request.user, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The test is kept. The latest one goes before the tag.")
            return redirect("lot", slug, found.pk)
    context = {"property": found.property, "lot": found, "form": form, "complaints": complaints(form)}
    return render(request, "blends/lot_test.html", context)


@section("stock")
@takes_files(MOST_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
def lot_photo(request, slug, lot_id):
    """A page that takes a photo of the tag."""
    found = lot_for(request.user, slug, lot_id, RECORD)
    form = PhotoForm(request.POST, request.FILES) if request.method == "POST" else PhotoForm()
    if request.method == "POST" and form.is_valid():
        try:
            set_tag_photo(found, form.cleaned_data["file"], request.user)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The photo of the tag is kept.")
            return redirect("lot", slug, found.pk)
    context = {"property": found.property, "lot": found, "form": form, "complaints": complaints(form)}
    return render(request, "blends/lot_photo.html", context)


@require_safe
def lot_photo_file(request, slug, lot_id):
    return photo_answer(lot_for(request.user, slug, lot_id))
