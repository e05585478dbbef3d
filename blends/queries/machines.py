"""Machines as a sheet and the machines' pages need them: boxes, densities, last settings, fitted settings."""

from dataclasses import dataclass

from blends.calc.boxes import default_box
from blends.calc.density import lb_per_ft3_from_bushel
from blends.calc.settings_fit import fitted
from blends.models import COUNTS, Box, Calibration, Machine, PlantingRecord
from blends.queries.species import species_facts


def machines_for(property, is_archived=False):
    return Machine.objects.filter(property=property, is_archived=is_archived)


def boxes_for(machine, species, facts=None):
    """{species id: Box value}: a person's choice, else the rule of calc/boxes.py; four queries.

    Parameters
    ----------
    machine : Machine
    species : iterable of Species or of ids
    facts : list of SpeciesFacts, optional
        Of these species, where they are at hand.
    """
    ids = {getattr(one, "pk", one) for one in species}
    if machine.kind == Machine.Kind.SPREADER or machine.small_box_ft3 is None:
        return dict.fromkeys(ids, Box.MAIN.value)
    facts = species_facts(machine.property, ids) if facts is None else facts
    chosen = dict(machine.seed_boxes.filter(species__in=ids).values_list("species", "box"))
    return {
        each.species.pk: chosen.get(each.species.pk)
        or default_box(each.seeds_per_lb.value, each.lb_per_bu.value)
        for each in facts
        if each.species.pk in ids
    }


def densities(property, species_ids, facts=None):
    """{species id: lb/ft³, or None while a bushel's weight is unknown}; the property's own values count first."""
    ids = {getattr(one, "pk", one) for one in species_ids}
    facts = species_facts(property, ids) if facts is None else facts
    return {
        each.species.pk: None
        if each.lb_per_bu.value is None
        else float(lb_per_ft3_from_bushel(float(each.lb_per_bu.value)))
        for each in facts
        if each.species.pk in ids
    }


@dataclass(frozen=True)
class LastSettings:
    """What a box was set to before.

    Attributes
    ----------
    box : str
    calibration : Calibration or None
        The latest of this blend, else the latest of the box.
    is_same_blend : bool
        Whether it was caught with this blend.
    record : PlantingRecord or None
        The latest planting of this blend with a setting of this box, else of any.
    record_setting : str
    is_record_of_blend : bool
    """

    box: str
    calibration: Calibration | None
    is_same_blend: bool
    record: PlantingRecord | None
    record_setting: str
    is_record_of_blend: bool


def last_settings_of(machine, blend_ids):
    """{blend id: {box: LastSettings}}; two queries whatever the number of blends."""
    calibrations = counting_calibrations(machine)
    records = list(
        PlantingRecord.objects.filter(COUNTS, machine=machine)
        .select_related("planting__plot", "planting__blend", "planting__season")
        .order_by("-done_on", "-created_at")
    )
    return {
        pk: {box: _last_settings(box, pk, calibrations, records) for box in boxes_of(machine)}
        for pk in blend_ids
    }


def last_settings(machine, blend):
    """{box: LastSettings} of one blend."""
    return last_settings_of(machine, [blend.pk])[blend.pk]


def boxes_of(machine):
    """The boxes that the machine has."""
    has_small = machine.kind == Machine.Kind.DRILL and machine.small_box_ft3 is not None
    return [Box.MAIN.value, Box.SMALL.value] if has_small else [Box.MAIN.value]


def _last_settings(box, blend_id, calibrations, records):
    caught = [row for row in calibrations if row.box == box]
    of_blend = [row for row in caught if row.blend_id == blend_id]
    sown = [row for row in records if str(row.settings.get(box) or "")]
    sown_of_blend = [row for row in sown if row.planting.blend_id == blend_id]
    record = (sown_of_blend or sown or [None])[0]
    return LastSettings(
        box,
        (of_blend or caught or [None])[0],
        bool(of_blend),
        record,
        "" if record is None else str(record.settings[box]),
        bool(sown_of_blend),
    )


def counting_calibrations(machine, **lookup):
    """Those not struck, the latest first."""
    rows = machine.calibrations.filter(is_struck=False, **lookup)
    return list(rows.select_related("blend", "species", "created_by"))


def fitted_setting(
    machine, box, lb_per_acre, lb_per_ft3=None, gear="", blend=None, species=None, calibrations=None
):
    """The setting of a box for a rate, from the machine's calibrations of that box in that gear.

    By volume from every seed whose density is known, where the wanted seed's is known too; by weight from the same
    blend or species alone. Whichever rests on more calibrations, by volume where they are equal.

    Parameters
    ----------
    machine : Machine
    box : str
    lb_per_acre : float or None
        Bulk pounds wanted through this box.
    lb_per_ft3 : float, optional
        Of what goes in the box.
    gear : str
        As the calibrations have it; other gears do not count.
    blend, species : Blend or Species, optional
        What is sown, for the fit by weight.
    calibrations : list of Calibration, optional
        Of the machine, not struck, where they are at hand.

    Returns
    -------
    FittedSetting or None
        None without a calibration that can be used. Its `setting` is None where the calibrations give none; `basis`
        then says why.
    """
    if not lb_per_acre:
        return None
    rows = counting_calibrations(machine) if calibrations is None else calibrations
    rows = [row for row in rows if row.box == box and same_gear(row.gear, gear)]
    by_volume = [row for row in rows if row.lb_per_ft3 is not None] if lb_per_ft3 else []
    same = [row for row in rows if _is_of(row, blend, species)]
    ends = {
        "lowest": machine.setting_low and float(machine.setting_low),
        "highest": machine.setting_high and float(machine.setting_high),
    }
    if by_volume and len(by_volume) >= len(same):
        settings, delivered = points(by_volume, is_by_volume=True)
        return fitted(settings, delivered, lb_per_acre / lb_per_ft3, by_volume=True, **ends)
    settings, delivered = points(same, is_by_volume=False)
    return fitted(settings, delivered, lb_per_acre, by_volume=False, **ends)


def points(calibrations, is_by_volume):
    """(settings, delivered): ft³/ac by volume, otherwise lb/ac."""
    settings = [float(row.setting) for row in calibrations]
    delivered = [
        float(row.lb_per_acre) / float(row.lb_per_ft3) if is_by_volume else float(row.lb_per_acre)
        for row in calibrations
    ]
    return settings, delivered


def same_gear(one, other):
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def _is_of(row, blend, species):
    if blend is not None:
        return row.blend_id == blend.pk
    return species is not None and row.species_id == species.pk
