"""What the plots of one blend, method and machine have in common on their sheets, worked out once."""

from dataclasses import dataclass

from blends.calc.fit import depth_settings, soil_temperature_for_all
from blends.models import Blend, Box, Calibration, Component, InoculantLot, Species
from blends.queries.inoculants import inoculants_for
from blends.queries.machines import boxes_for, counting_calibrations, densities, last_settings_of
from blends.queries.next_blend import mixed
from blends.queries.sheets.cautions import hazard_cautions
from blends.queries.sheets.shapes import Depth, LastSetting
from blends.queries.species import species_facts


@dataclass(frozen=True, slots=True)
class Part:
    """An item of a recipe: a species at its PLS rate, or a bought mix at its bulk rate.

    Attributes
    ----------
    species_id, blend_id : int or None
    lb_per_acre : float or None
        None while the blend has none for the method.
    instead_of : Species or None
    """

    species_id: int | None
    blend_id: int | None
    lb_per_acre: float | None
    instead_of: Species | None

    @property
    def key(self):
        return self.species_id, self.blend_id


@dataclass(frozen=True)
class Recipe:
    """A blend by one method on one machine.

    Attributes
    ----------
    blend : Blend
    parts : list of Part
    boxes : dict
        Box by the part's key.
    lb_per_ft3 : dict
        lb/ft³ by the part's key; None while unknown.
    last, weighed : dict
        LastSetting, and the calibration in which the blend was weighed, by box; what is not known is left out.
    depths, depth_unknown, soil_temp_f, soil_temp_of, hazards : as on the Sheet
    inoculant_groups : dict
        The species' ids by group.
    """

    blend: Blend
    parts: list
    boxes: dict
    lb_per_ft3: dict
    last: dict
    weighed: dict
    depths: tuple
    depth_unknown: tuple
    soil_temp_f: float | None
    soil_temp_of: tuple
    hazards: tuple
    inoculant_groups: dict


@dataclass(frozen=True)
class Recipes:
    """All recipes of some plantings.

    Attributes
    ----------
    by_key : dict
        Recipe by (blend id, method).
    species : dict
    calibrations : dict
        Counting ones by the machine's id.
    inoculants : dict of str to list of InoculantLot
    """

    by_key: dict
    species: dict[int, Species]
    calibrations: dict[int, list[Calibration]]
    inoculants: dict[str, list[InoculantLot]]


def recipes_of(property, keys, blends, machines, instead, on):
    """Read what the recipes need; as many queries for one as for all.

    Parameters
    ----------
    property : Property
    keys : iterable of (blend id, method)
    blends : dict
        By id.
    machines : dict
        Machine or None by method.
    instead : dict
        (Species, factor) by the id of the species that it is sown instead of.
    on : date

    Returns
    -------
    Recipes
    """
    rows = list(Component.objects.filter(blend__in=blends).select_related("species"))
    by_blend = {}
    for row in rows:
        by_blend.setdefault(row.blend_id, []).append(row)
    species = {row.species_id: row.species for row in rows} | {one.pk: one for one, _ in instead.values()}
    facts = {each.species.pk: each for each in species_facts(property, species)}
    lb_per_ft3 = densities(property, species, list(facts.values()))
    used = {machine.pk: machine for machine in machines.values() if machine is not None}
    boxes = {pk: boxes_for(machine, species, list(facts.values())) for pk, machine in used.items()}
    calibrations = {pk: counting_calibrations(machine) for pk, machine in used.items()}
    last = {pk: last_settings_of(machine, blends) for pk, machine in used.items()}
    found = {}
    for blend_id, method in keys:
        blend, machine = blends[blend_id], machines[method]
        parts = _parts(blend, method, by_blend.get(blend_id, []), instead)
        sown = [facts[pk] for pk in _species_sown(parts, by_blend.get(blend_id, []))]
        pk = machine and machine.pk
        found[blend_id, method] = Recipe(
            blend=blend,
            parts=parts,
            boxes={part.key: _box(part, boxes.get(pk)) for part in parts},
            lb_per_ft3={part.key: _density(part, by_blend.get(blend_id, []), lb_per_ft3) for part in parts},
            last=_last(last[pk][blend_id]) if machine else {},
            weighed=_weighed(calibrations[pk], blend_id) if machine else {},
            hazards=tuple(hazard_cautions(sown)),
            inoculant_groups=_inoculant_groups(sown),
            **_depths(sown),
            **_soil_temp(sown),
        )
    groups = {group for recipe in found.values() for group in recipe.inoculant_groups}
    return Recipes(found, species, calibrations, inoculants_for(property, groups, on))


def _parts(blend, method, components, instead):
    rate_of = f"{method}_bulk_lb_per_acre" if blend.is_bought else f"{method}_pls_lb_per_acre"
    if blend.is_bought:
        return [Part(None, blend.pk, _float(getattr(blend, rate_of)), None)]
    parts = {}
    for row in components:
        rate, pk, replaced = _float(getattr(row, rate_of)), row.species_id, None
        if pk in instead:
            other, factor = instead[pk]
            rate, pk, replaced = None if rate is None else rate * factor, other.pk, row.species
        before = parts.get(pk)
        if before is not None:  # a species that the blend has already is sown instead of another
            rate = None if None in (rate, before.lb_per_acre) else rate + before.lb_per_acre
            replaced = replaced or before.instead_of
        parts[pk] = Part(pk, None, rate, replaced)
    return list(parts.values())


def _species_sown(parts, components):
    """Ids of the species that come up: the parts', or what is in the bag."""
    return [part.species_id for part in parts if part.species_id] or [row.species_id for row in components]


def _box(part, boxes):
    """A mix that was bought cannot be taken apart and goes in the main box."""
    return Box.MAIN.value if boxes is None or part.species_id is None else str(boxes[part.species_id])


def _density(part, components, lb_per_ft3):
    if part.species_id is not None:
        return lb_per_ft3[part.species_id]
    return mixed([(_float(row.tag_pct_by_weight), lb_per_ft3[row.species_id]) for row in components])


def _last(by_box):
    """The later of the last calibration and the last planting, what was caught with this blend first."""
    return {box: last for box, each in by_box.items() if (last := _last_of(each)) is not None}


def _last_of(each):
    choices = []
    if each.calibration is not None:
        row = each.calibration
        of = row.blend or row.species
        choices.append(
            LastSetting(
                f"{row.setting.normalize():f}",
                row.gear,
                row.calibrated_on,
                float(row.lb_per_acre),
                str(of) if of else "",
                each.is_same_blend,
                True,
            )
        )
    if each.record is not None:
        row = each.record
        what = str(row.planting.blend)
        choices.append(
            LastSetting(each.record_setting, "", row.done_on, None, what, each.is_record_of_blend, False)
        )
    return max(choices, key=lambda last: (last.is_same, last.on), default=None)


def _weighed(calibrations, blend_id):
    """By box, the latest calibration in which the blend's weight of a cubic foot was weighed."""
    found = {}
    for row in calibrations:
        if row.blend_id == blend_id and row.is_lb_per_ft3_weighed and row.lb_per_ft3 is not None:
            found.setdefault(row.box, row)
    return found


def _depths(sown):
    low, high = (
        [_float(each.facts[name].value) for each in sown] for name in ("depth_in_low", "depth_in_high")
    )
    low, high = ([value if value is not None else float("nan") for value in ends] for ends in (low, high))
    found = depth_settings(low, high)
    depths = tuple(
        Depth(
            float(found.low_in[i]),
            float(found.high_in[i]),
            tuple(each.species for each, at in zip(sown, found.setting_of, strict=True) if at == i),
        )
        for i in range(len(found.low_in))
    )
    unknown = tuple(each.species for each, at in zip(sown, found.setting_of, strict=True) if at < 0)
    return {"depths": depths, "depth_unknown": unknown}


def _soil_temp(sown):
    lowest = [_float(each.min_soil_temp_f.value) for each in sown]
    found = soil_temperature_for_all([float("nan") if value is None else value for value in lowest])
    if not found.set_by:
        return {"soil_temp_f": None, "soil_temp_of": ()}
    return {"soil_temp_f": found.lowest_f, "soil_temp_of": tuple(sown[i].species for i in found.set_by)}


def _inoculant_groups(sown):
    groups = {}
    for each in sown:
        if each.inoculant_group.value:
            groups.setdefault(each.inoculant_group.value, []).append(each.species.pk)
    return groups


def _float(value):
    return None if value is None else float(value)
