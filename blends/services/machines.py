"""Machines, the box that a species goes in, and calibrations."""

from decimal import Decimal, InvalidOperation

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from blends.access import species_rows
from blends.models import Box, Calibration, Machine, SeedBox
from blends.queries.calibrating import catch_width_ft, catches, rounded
from blends.queries.machines import boxes_of
from blends.queries.next_blend import box_label, density_in
from blends.services.field_entries import check_day
from config.errors import Conflict, Refused, refuse, refused_from
from plots.services.rows import save_clean

MACHINE_FIELDS = (
    "name",
    "kind",
    "openers",
    "spacing_in",
    "swath_ft",
    "main_box_ft3",
    "small_box_ft3",
    "setting_low",
    "setting_high",
    "course_ft",
    "note",
)
DRILLS_ONLY = ("openers", "spacing_in", "small_box_ft3")
MOST_CATCHES = 60
MOST_CAUGHT_G = 200_000
"""More than any hopper of a small machine holds. Ours. [g]"""


@transaction.atomic
def save_machine(*, property, user, machine=None, **values):
    """Add a drill or a spreader, or change one; calibrations keep the width that they were made at.

    Parameters
    ----------
    property : Property
    user : User
    machine : Machine or None
        The one to change; values that are not given stay as they are.
    **values
        MACHINE_FIELDS.

    Raises
    ------
    Refused
        A value that cannot be used, or what a machine of this kind does not have.
    Conflict
        Another kind for a machine that was calibrated.
    """
    unknown = values.keys() - set(MACHINE_FIELDS)
    if unknown:
        raise Refused(
            f"“{min(unknown)}” is not a value of a machine; accepted are {', '.join(MACHINE_FIELDS)}."
        )
    if machine is None:
        machine = Machine(property=property, created_by=user)
    elif machine.property_id != property.pk:
        raise Refused("This machine belongs to another property.")
    else:
        machine = Machine.objects.select_for_update().get(pk=machine.pk)
    kind = machine.kind
    for name, value in values.items():
        setattr(machine, name, value.strip() if isinstance(value, str) else value)
    if machine.pk and machine.kind != kind and machine.calibrations.exists():
        raise Conflict(
            f"{machine} was calibrated as a {Machine.Kind(kind).label.lower()}; add another machine."
        )
    _check_kind(machine)
    _clean_fields(machine)
    if (
        None not in (machine.setting_low, machine.setting_high)
        and machine.setting_low >= machine.setting_high
    ):
        refuse(
            "setting_high",
            f"The highest setting is {machine.setting_high:g}; accepted is above the lowest, {machine.setting_low:g}.",
        )
    machine = save_clean(machine)
    machine.property = property
    return machine


@transaction.atomic
def archive_machine(*, machine, is_archived=True):
    """Put a machine away, or take it back. What it calibrated and planted stays."""
    Machine.objects.filter(pk=machine.pk).update(is_archived=is_archived)
    machine.is_archived = is_archived
    return machine


@transaction.atomic
def set_boxes(*, machine, choices):
    """Say in which box species go; None returns a species to the rule.

    Parameters
    ----------
    machine : Machine
        With its property.
    choices : dict of species id to box or None

    Raises
    ------
    Refused
        A species that the property does not see, or a box that the machine does not have.
    """
    seen = dict(species_rows(machine.property).filter(pk__in=choices).values_list("pk", "common_name"))
    for pk, box in choices.items():
        if pk not in seen:
            refuse("boxes", f"Species {pk} is not in this property's list.")
        if box is not None and box not in boxes_of(machine):
            has = ", ".join(boxes_of(machine))
            refuse("boxes", f"The box of {seen[pk]} is “{box}”; {machine} has {has}.")
    Machine.objects.select_for_update().get(pk=machine.pk)
    back = [pk for pk, box in choices.items() if box is None]
    machine.seed_boxes.filter(species__in=back).delete()
    SeedBox.objects.bulk_create(
        [SeedBox(machine=machine, species_id=pk, box=box) for pk, box in choices.items() if box is not None],
        update_conflicts=True,
        unique_fields=["machine", "species"],
        update_fields=["box"],
    )


@transaction.atomic
def record_calibration(
    *,
    machine,
    user,
    setting,
    caught_g,
    course_ft,
    box=Box.MAIN,
    blend=None,
    species=None,
    calibrated_on=None,
    gear="",
    rows_per_catch=1,
    lb_per_ft3=None,
    note="",
):
    """Keep what came out of a box at a setting.

    Parameters
    ----------
    machine : Machine
        With its property.
    user : User
    setting : Decimal
    caught_g : list of Decimal or float
        One weight for each catch, bags taken off; a spreader: what left the hopper on each pass. [g]
    course_ft : Decimal
    box : str
    blend, species : Blend or Species, optional
        What was in the box: one of them, or neither where nobody noted it.
    calibrated_on : date, optional
        Today when left out.
    gear : str
    rows_per_catch : int
        Openers whose seed ran into one bag; of a spreader 1.
    lb_per_ft3 : Decimal, optional
        Weighed. Left out, it is worked out from the bushel weights of what was in the box, where they are known.

    Returns
    -------
    Calibration

    Raises
    ------
    Refused
        A value that cannot be used, in a sentence.
    """
    _check_seed(machine, box, blend, species)
    caught = _caught(caught_g)
    row = Calibration(
        machine=machine,
        box=box,
        blend=blend,
        species=species,
        calibrated_on=calibrated_on or timezone.localdate(),
        setting=setting,
        gear=" ".join(gear.split()),
        caught_g=[f"{each:f}" for each in caught],
        course_ft=course_ft,
        rows_per_catch=rows_per_catch,
        catch_width_ft=catch_width_ft(machine, rows_per_catch),
        lb_per_acre=0,
        lb_per_ft3=lb_per_ft3,
        is_lb_per_ft3_weighed=lb_per_ft3 is not None,
        note=note.strip(),
        created_by=user,
    )
    _clean_fields(row)
    _check_figures(machine, row)
    row.lb_per_acre = rounded(catches(machine, caught, row.course_ft, row.rows_per_catch).mean, 4)
    if lb_per_ft3 is None:
        found = density_in(machine, box, blend=blend, species=species)
        row.lb_per_ft3 = None if found is None else rounded(found, 3)
    return save_clean(row)


@transaction.atomic
def strike_calibration(*, calibration, is_struck=True):
    """Leave a calibration out of the fits, or let it count again. It stays in the list."""
    Calibration.objects.filter(pk=calibration.pk).update(is_struck=is_struck)
    calibration.is_struck = is_struck
    return calibration


def _clean_fields(row):
    """The columns' own checks first, so that figures can be compared."""
    try:
        row.clean_fields()
    except ValidationError as error:
        raise refused_from(error) from error


def _check_kind(machine):
    if machine.kind == Machine.Kind.SPREADER:
        for name in DRILLS_ONLY:
            if getattr(machine, name) not in (None, ""):
                refuse(
                    name,
                    f"{_label(name)} is {getattr(machine, name)}; a spreader has none, so leave it empty.",
                )
    elif machine.swath_ft is not None:
        refuse(
            "swath_ft",
            f"{_label('swath_ft')} is {machine.swath_ft}; a drill's width comes from its openers and what is between "
            "them, so leave it empty.",
        )


def _label(name):
    label = str(Machine._meta.get_field(name).verbose_name)
    return label[:1].upper() + label[1:]


def _check_seed(machine, box, blend, species):
    if box not in boxes_of(machine):
        has = " and a ".join(box_label(machine, each).lower() for each in boxes_of(machine))
        refuse("box", f"The box is “{box}”; {machine} has a {has}.")
    if blend is not None and species is not None:
        refuse("blend", "A calibration is of one thing: a blend, or a species.")
    if blend is not None and blend.property_id != machine.property_id:
        refuse("blend", f"Blend {blend.pk} is not one of this property.")
    if species is not None and not species_rows(machine.property).filter(pk=species.pk).exists():
        refuse("species", f"Species {species.pk} is not in this property's list.")


def _caught(caught_g):
    accepted = f"weights from 0 to {MOST_CAUGHT_G:,} g are accepted"
    if not isinstance(caught_g, list | tuple) or not caught_g:
        refuse("caught_g", f"No catch is given; 1 to {MOST_CATCHES} {accepted}.")
    if len(caught_g) > MOST_CATCHES:
        refuse("caught_g", f"{len(caught_g)} catches are given; {MOST_CATCHES} at most are accepted.")
    found = []
    for number, each in enumerate(caught_g, start=1):
        try:
            grams = Decimal(str(each))
        except InvalidOperation:
            grams = Decimal("NaN")
        if not grams.is_finite() or not 0 <= grams <= MOST_CAUGHT_G:
            refuse("caught_g", f"Catch {number} is {str(each)[:30]}; {accepted}.")
        found.append(rounded(grams, 2))
    if not any(found):
        refuse(
            "caught_g",
            "Every catch is 0 g: nothing came out. Look whether the box is open and the drive turns, and catch again.",
        )
    return found


def _check_figures(machine, row):
    check_day(row.calibrated_on, "calibrated_on", "it was calibrated")
    low, high = machine.setting_low, machine.setting_high
    if (
        row.setting < 0
        or (low is not None and row.setting < low)
        or (high is not None and row.setting > high)
    ):
        span = f"{low or 0:g} to {high:g}" if high is not None else f"{low or 0:g} or more"
        refuse("setting", f"The setting is {row.setting:g}; {machine} takes {span}.")
    if machine.openers is not None and row.rows_per_catch > machine.openers:
        refuse(
            "rows_per_catch",
            f"Rows in each catch is {row.rows_per_catch}; accepted is 1 to {machine.openers}, the openers of {machine}.",
        )
    if machine.kind == Machine.Kind.SPREADER and row.rows_per_catch != 1:
        refuse(
            "rows_per_catch",
            f"Rows in each catch is {row.rows_per_catch}; a spreader has no rows: 1 is accepted.",
        )
    if row.is_lb_per_ft3_weighed and not 1 <= row.lb_per_ft3 <= 100:
        refuse("lb_per_ft3", f"Weight of the seed is {row.lb_per_ft3:g} lb/ft³; accepted is 1 to 100.")
