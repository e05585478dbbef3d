"""Price lists: brought in, matched, looked over, stored, mended, taken back."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from blends.access import price_list_for
from blends.calc.price_tables import MOST_BYTES
from blends.forms.price_lists import PriceListForm, column_choices, columns_from
from blends.forms.rows import RowSelect
from blends.models import PriceList, Supplier
from blends.queries.offers import priced
from blends.queries.price_lists import (
    LEFT_OUT,
    NEW,
    REPLACES,
    UNCHANGED,
    columns_with_samples,
    matched_fields,
    names_asked,
    preview,
    price_lists_of,
)
from blends.services.listed_offers import correct_rows, store_list, take_back_list
from blends.services.price_lists import answer_names, match_columns, receive_list, set_list_aside
from blends.services.suppliers import add_supplier
from blends.views.offers import item_choices, item_of
from config.errors import Refused, SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import EDIT, id_in, property_for
from plots.uploads import takes_files

LISTS_SHOWN = 20
ROWS_A_PAGE = 100
NOT_OURS = "none"


@takes_files(MOST_BYTES)
@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def price_list_new(request, slug):
    """Upload or paste one; `?supplier=` names whose it is."""
    property = property_for(request.user, slug, EDIT)
    rows = Supplier.objects.filter(property=property, is_archived=False)
    asked = rows.filter(pk=id_in(request.GET.get("supplier", "")) or 0).first()
    posted = (request.POST, request.FILES) if request.method == "POST" else ()
    form = PriceListForm(*posted, initial={"supplier_name": asked.name if asked else ""})
    if posted and form.is_valid():
        try:
            row = _received(request, property, form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error, names={"supplier": "supplier_name", "name": "supplier_name"})
        else:
            return redirect("price-list", slug, row.pk)
    context = {
        "property": property,
        "form": form,
        "suppliers": rows,
        "lists": price_lists_of(property)[:LISTS_SHOWN],
        "complaints": complaints(form),
    }
    return render(request, "blends/price_list_new.html", context)


def _received(request, property, values):
    """The list, with its supplier made if new; a list that cannot be read leaves no supplier behind."""
    upload = values["file"]
    with transaction.atomic():
        supplier = Supplier.objects.filter(property=property, name__iexact=values["supplier_name"]).first()
        return receive_list(
            property=property,
            user=request.user,
            supplier=supplier or add_supplier(property=property, name=values["supplier_name"]),
            text=values["text"],
            content=None if upload is None else upload.read(MOST_BYTES + 1),
            file_name="" if upload is None else upload.name,
        )


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def price_list(request, slug, list_id):
    """One list; posted, `act` is columns, names, store, aside, up, mend, retry or back."""
    row = price_list_for(request.user, slug, list_id)
    said = []
    if request.method == "POST":
        try:
            _ACTS.get(request.POST.get("act"), _match)(request, row)
            return redirect("price-list", slug, row.pk)
        except SwardbookError as error:
            sentences = error.fields.get("columns") or [error.sentence]
            said = [Complaint(sentence) for sentence in sentences]
    is_stored = row.state == PriceList.State.STORED
    context = {"property": row.property, "list": row, "complaints": said}
    if is_stored:
        return render(request, "blends/price_list_stored.html", context | _stored_context(request, row))
    return render(request, "blends/price_list.html", context | _matching_context(request, row))


def _match(request, row):
    columns, wrong = columns_from(request.POST)
    if wrong:
        raise Refused(" ".join(wrong), fields={"columns": wrong})
    heading = request.POST.get("heading_row", "").strip()
    if heading and not (heading.isascii() and heading.isdecimal() and len(heading) < 7):
        raise Refused(f"“{heading}” is no row; accepted is a whole number from 1.")
    match_columns(price_list=row, columns=columns, heading_row=int(heading) - 1 if heading else None)


def _answer(request, row):
    answers = {}
    for name, value in zip(request.POST.getlist("name"), request.POST.getlist("thing"), strict=False):
        if value == NOT_OURS:
            answers[name] = None
        elif value:
            answers[name] = _thing(row.property, value)
    answer_names(property=row.property, answers=answers)
    if row.state == PriceList.State.STORED:
        counts = correct_rows(price_list=row).counts
        made = counts[NEW] + counts[REPLACES]
        messages.success(
            request, f"The names are kept; {made} more row{'' if made == 1 else 's'} became offers."
        )
    else:
        messages.success(
            request, f"{len(answers)} name{'' if len(answers) == 1 else 's'} kept, for other lists too."
        )


def _thing(property, value):
    kind, _, pk = value.partition(":")
    if kind not in ("species", "blend") or id_in(pk) is None:
        raise Refused(f"“{value}” is no seed; choose one from the list.")
    [thing] = item_of(property, value).values()
    return thing


def _store(request, row):
    counts = store_list(price_list=row).counts
    messages.success(
        request,
        f"Stored: {counts[NEW]} new, {counts[REPLACES]} in the place of older ones, {counts[UNCHANGED]} unchanged, "
        f"{counts[LEFT_OUT]} left out.",
    )


def _aside(request, row):
    set_list_aside(price_list=row)
    messages.success(request, "The list is set aside; nothing of it is offered.")


def _up(request, row):
    set_list_aside(price_list=row, is_aside=False)


def _mend(request, row):
    """The cells of one row, posted as cell_<column>."""
    index = id_in(request.POST.get("row", ""))
    cells = {
        int(name[5:]): text
        for name, text in request.POST.items()
        if name.startswith("cell_") and id_in(name[5:]) is not None
    }
    counts = correct_rows(price_list=row, cells={index: cells}).counts
    if counts[LEFT_OUT]:
        messages.warning(request, "The row cannot become an offer yet; its reason is below.")
    else:
        messages.success(
            request, "The row is an offer now." if not counts[UNCHANGED] else "It is offered already."
        )


def _back(request, row):
    take_back_list(price_list=row)
    messages.success(
        request, "The list is taken back: what it replaced is offered again. Nothing of it is lost."
    )


_ACTS = {
    "names": _answer,
    "store": _store,
    "aside": _aside,
    "up": _up,
    "mend": _mend,
    "back": _back,
}


def _matching_context(request, row):
    found = preview(row)
    names = names_asked(row)
    open_names = [each for each in names if each.meaning is None]
    counts = found.counts
    shown = Paginator(_by_becoming(found), ROWS_A_PAGE).get_page(request.GET.get("page"))
    columns = []
    for column, heading, samples, field in columns_with_samples(row):
        packs = field.partition(":")[2] if field.startswith("break:") else ""
        columns.append((column, heading, samples, "break" if packs else field, packs))
    return {
        "columns": columns,
        "column_choices": column_choices(),
        "for_all": {
            name: row.columns.get(f"all:{name}", "") for name in ("pack_lb", "quoted_on", "valid_until")
        },
        "heading_number": row.heading_row + 1,
        "last_heading": len(row.table) - 1,
        "wrong": found.wrong,
        "names": _with_selects(row.property, open_names),
        "known": [each for each in names if each.meaning is not None],
        "counts": counts,
        "storing": counts[NEW] + counts[REPLACES],
        "page": shown,
        "is_aside": row.state == PriceList.State.SET_ASIDE,
    }


def _by_becoming(found):
    """What can be mended first, then what is new, replaced, unchanged, and what is left out by its nature."""
    rank = {REPLACES: 1, NEW: 2, UNCHANGED: 3}
    return sorted(found.rows, key=lambda row: (rank.get(row.becomes, 4 if row.why else 0), row.read.line))


def _with_selects(property, asked):
    """(name, rows, select) of each name, the options written once."""
    choices = [*item_choices(property)]
    choices[0] = ("", "Not said yet")
    flat = [choices[0], (NOT_OURS, "No seed of ours")]
    for value, label in choices[1:]:
        flat += label if isinstance(label, list) else [(value, label)]
    select = RowSelect(choices=flat)
    return [
        (
            each,
            select.render(
                "thing", each.value, {"aria-label": f"What “{each.name}” is", "id": f"thing-{number}"}
            ),
        )
        for number, each in enumerate(asked)
    ]


def _stored_context(request, row):
    offers = row.offers.select_related("supplier", "species", "blend").prefetch_related("breaks")
    page = Paginator(sorted(priced(offers), key=lambda each: str(each.item).casefold()), ROWS_A_PAGE)
    fields = matched_fields(row)
    mendable = [each for each in row.left_out if not each["why"]]
    shown = Paginator(mendable, ROWS_A_PAGE).get_page(request.GET.get("left"))
    open_names = [each for each in names_asked(row) if each.meaning is None]
    return {
        "page": page.get_page(request.GET.get("page")),
        "left_page": shown,
        "left": [(each, [(at, label, each["cells"][at]) for _, label, at in fields]) for each in shown],
        "by_nature": [each for each in row.left_out if each["why"]],
        "mendable_count": len(mendable),
        "names": _with_selects(row.property, open_names),
    }
