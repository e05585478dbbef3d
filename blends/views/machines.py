"""Drills and spreaders: the list, one machine with its calibrations and the next blend, boxes, a calibration."""

from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from blends.access import blend_for, machine_for
from blends.calc.boxes import WORDS as BOX_RULE
from blends.calc.boxes import default_box
from blends.calc.calibration import MACHINERY, TREATED_SEED
from blends.calc.settings_fit import SOURCES
from blends.forms.machines import BoxForm, CalibrationForm, MachineForm, NextForm
from blends.queries.calibrating import calibration_rows, what_was_caught
from blends.queries.machine_pictures import pictures_of
from blends.queries.machines import boxes_of, machines_for
from blends.queries.next_blend import method_of, next_blend
from blends.queries.species import species_facts
from blends.services.machines import (
    archive_machine,
    record_calibration,
    save_machine,
    set_boxes,
    strike_calibration,
)
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import EDIT, RECORD, check_may_correct, may_correct, property_for

CAUTIONS = [TREATED_SEED, MACHINERY]


@section("planting")
@require_safe
def machines(request, slug):
    property = property_for(request.user, slug)
    archived = "archived" in request.GET
    return render(
        request,
        "blends/machines.html",
        {
            "property": property,
            "machines": machines_for(property, archived).prefetch_related("calibrations"),
            "archived": archived,
            "archived_count": machines_for(property, is_archived=True).count(),
        },
    )


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def machine_edit(request, slug, machine_id=None):
    """Add a machine, change it, put it away (`act=archive`) or take it back (`act=unarchive`)."""
    machine = None if machine_id is None else machine_for(request.user, slug, machine_id, EDIT)
    property = machine.property if machine else property_for(request.user, slug, EDIT)
    if machine and request.POST.get("act") in ("archive", "unarchive"):
        archive_machine(machine=machine, is_archived=request.POST["act"] == "archive")
        said = "is put away; its calibrations stay." if machine.is_archived else "is in use again."
        messages.success(request, f"{machine} {said}")
        return redirect("machine", slug, machine.pk)
    form = MachineForm(request.POST or None, initial=_typed_before(machine))
    if request.method == "POST" and form.is_valid():
        try:
            machine = save_machine(property=property, user=request.user, machine=machine, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"{machine} is kept.")
            return redirect("machine", slug, machine.pk)
    return render(
        request,
        "blends/machine_edit.html",
        {"property": property, "machine": machine, "form": form, "complaints": complaints(form)},
    )


def _typed_before(machine):
    return {name: getattr(machine, name) for name in MachineForm.base_fields} if machine else {}


@section("planting")
@require_safe
def machine(request, slug, machine_id):
    """A machine; `?blend=` is the next one, `?gear==high` whose calibrations count."""
    machine = machine_for(request.user, slug, machine_id)
    rows = calibration_rows(machine)
    for row in rows:
        row.is_mine = may_correct(request.user, machine.property, row.calibration)
    gears = sorted({row.calibration.gear for row in rows if not row.calibration.is_struck})
    form = NextForm(machine, gears, request.GET if "blend" in request.GET else None)
    blend = None
    if form.is_bound and form.is_valid() and form.cleaned_data["blend"]:
        blend = blend_for(request.user, slug, form.cleaned_data["blend"])
    boxes = next_blend(machine, blend, form.chosen_gear) if blend else []
    return render(
        request,
        "blends/machine.html",
        {
            "property": machine.property,
            "machine": machine,
            "method": method_of(machine).label.lower(),
            "rows": rows,
            "form": form,
            "blend": blend,
            "boxes": boxes,
            "pictures": pictures_of(rows, boxes, blend),
            "box_labels": len(boxes_of(machine)) > 1,
            "seed_boxes": _seed_boxes(machine),
            "rule": BOX_RULE,
            "fit_sources": SOURCES,
            "cautions": CAUTIONS,
        },
    )


def _seed_boxes(machine):
    """(species, box) of those that a person put somewhere."""
    if len(boxes_of(machine)) == 1:
        return []
    return machine.seed_boxes.select_related("species").order_by("species__common_name")


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def machine_boxes(request, slug, machine_id):
    """Which box each species goes in."""
    machine = machine_for(request.user, slug, machine_id, EDIT)
    facts = species_facts(machine.property)
    chosen = dict(machine.seed_boxes.values_list("species", "box"))
    data = request.POST if request.method == "POST" else None
    has_small = len(boxes_of(machine)) > 1
    forms = []
    for each in facts:
        by_rule = default_box(each.seeds_per_lb.value, each.lb_per_bu.value, has_small)
        forms.append(BoxForm(each.species, by_rule, data, chosen.get(each.species.pk, "")))
    if data is not None and all([form.is_valid() for form in forms]):
        wanted = {form.species.pk: form.cleaned_data["box"] or None for form in forms}
        changed = {pk: box for pk, box in wanted.items() if box != chosen.get(pk)}
        set_boxes(machine=machine, choices=changed)
        messages.success(request, f"Boxes are kept: {len(changed)} changed.")
        return redirect("machine", slug, machine.pk)
    return render(
        request,
        "blends/machine_boxes.html",
        {
            "property": machine.property,
            "machine": machine,
            "has_small": has_small,
            "rows": [(each, form) for each, form in zip(facts, forms, strict=True)],
            "rule": BOX_RULE,
            "complaints": complaints(*forms) if data is not None else [],
        },
    )


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def calibrate(request, slug, machine_id):
    """Record a calibration beside the machine; `act=more` gives more fields, `act=figures` works it out."""
    machine = machine_for(request.user, slug, machine_id, RECORD)
    data = request.POST if request.method == "POST" else None
    form = CalibrationForm(machine, data, initial=_asked_for(machine, request.GET))
    act = request.POST.get("act", "save") if data is not None else None
    if act == "save" and form.is_valid():
        try:
            row = record_calibration(machine=machine, user=request.user, **form.said)
        except SwardbookError as error:
            show_refusal(form, error, names=_FIELD_OF)
        else:
            messages.success(
                request, f"Kept: setting {row.setting.normalize():f} delivered {row.lb_per_acre:.1f} lb/ac."
            )
            if "again" in data:
                return redirect(f"{request.path}?{_again(data)}")
            return redirect("machine", slug, machine.pk)
    return render(
        request,
        "blends/calibrate.html",
        {
            "property": machine.property,
            "machine": machine,
            "form": form,
            "caught": _caught(form) if data is not None else _caught(_unbound(machine, request.GET)),
            "gears": sorted({gear for gear in machine.calibrations.values_list("gear", flat=True) if gear}),
            "complaints": complaints(form) if act == "save" else [],
            "cautions": CAUTIONS,
        },
    )


_FIELD_OF = {"caught_g": "catch-0", "blend": "seed", "species": "seed"}


@section("planting")
@require_POST
def calibrate_figures(request, slug, machine_id):
    """What was caught so far, as it follows the typing."""
    machine = machine_for(request.user, slug, machine_id, RECORD)
    form = CalibrationForm(machine, request.POST)
    return render(request, "blends/_caught.html", {"caught": _caught(form), "machine": machine})


@section("planting")
@require_POST
def calibration(request, slug, machine_id, calibration_id):
    """Strike a calibration (`act=strike`) or let it count again (`act=unstrike`)."""
    machine = machine_for(request.user, slug, machine_id, RECORD)
    row = get_object_or_404(machine.calibrations, pk=calibration_id)
    check_may_correct(request.user, machine.property, row)
    strike_calibration(calibration=row, is_struck=request.POST.get("act") != "unstrike")
    said = (
        "is struck: it stays in the list and no setting is fitted from it."
        if row.is_struck
        else "counts again."
    )
    messages.success(request, f"The calibration at setting {row.setting.normalize():f} {said}")
    return redirect("machine", slug, machine.pk)


def _caught(form):
    """Of whatever can be read so far; nothing is refused here."""
    form.is_valid()
    return what_was_caught(form.machine, getattr(form, "cleaned_data", {}), form.caught_g)


def _unbound(machine, query):
    """The form as if what the address asks for had been typed."""
    data = QueryDict(mutable=True)
    data.update({name: str(value) for name, value in CalibrationForm(machine, None, _asked_for(machine, query)).initial.items()
                 if value not in (None, "")})  # fmt: skip
    return CalibrationForm(machine, data)


def _asked_for(machine, query):
    """Initial values that the address names: seed, box, wanted, gear, setting."""
    found = {
        name: query[name]
        for name in ("seed", "wanted", "gear", "setting", "rows_per_catch")
        if query.get(name)
    }
    if query.get("box") in boxes_of(machine):
        found["box"] = query["box"]
    return found


def _again(data):
    """The address of the next calibration of the same seed in the same box."""
    query = QueryDict(mutable=True)
    for name in ("seed", "box", "wanted", "gear", "rows_per_catch"):
        if data.get(name):
            query[name] = data[name]
    return query.urlencode()
