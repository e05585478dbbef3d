"""The next blend on a machine: pounds through each box, the setting that should deliver them, and what to catch."""

from dataclasses import dataclass

from blends.calc.calibration import seed_to_catch
from blends.calc.density import mix_lb_per_ft3
from blends.calc.settings_fit import FittedSetting
from blends.models import Box, Machine, Planting, SeedOrder, Species
from blends.queries.lots import live_fraction, lots_of
from blends.queries.machines import (
    LastSettings,
    boxes_for,
    boxes_of,
    counting_calibrations,
    densities,
    fitted_setting,
    last_settings,
    same_gear,
)
from blends.queries.order_inputs import assumed_fraction
from blends.queries.species import species_facts
from plots.calc.units import IN_PER_FT


@dataclass(frozen=True)
class NextPart:
    """A species of the blend, or the whole of a bought mix, as it goes through a box.

    Attributes
    ----------
    name : str
    species : Species or None
        None for a bought mix, which cannot be taken apart.
    rate_lb_per_acre : float or None
        PLS of a species, bulk of a bought mix.
    live_fraction : float or None
        None for a bought mix, sown by the bulk pound.
    live_from : str
        Which seed that is of, in words.
    lb_per_acre : float or None
        Bulk.
    lb_per_ft3 : float or None
    """

    name: str
    species: Species | None
    rate_lb_per_acre: float | None
    live_fraction: float | None
    live_from: str
    lb_per_acre: float | None
    lb_per_ft3: float | None

    @property
    def live_percent(self):
        return None if self.live_fraction is None else 100 * self.live_fraction


@dataclass(frozen=True)
class NextBox:
    """One box of the machine for the blend.

    Attributes
    ----------
    box, label : str
    parts : list of NextPart
    lb_per_acre : float or None
        Bulk, through this box.
    lb_per_ft3 : float or None
        As weighed at the latest calibration of the blend, else of the components.
    is_weighed : bool
    gear : str
        Whose calibrations count.
    fitted : FittedSetting or None
    in_other_gears : list of (str, FittedSetting)
        What the box's other gears would be set to, of those with a setting.
    last : LastSettings
    catch_row_g, catch_g : float or None
        Over the machine's course, by one row and by the whole width; of a spreader the whole alone.
    full_acres : float or None
        How far a level-full box goes. [acres]
    unknown : list of str
        What is not known, in sentences.
    """

    box: str
    label: str
    parts: list
    lb_per_acre: float | None
    lb_per_ft3: float | None
    is_weighed: bool
    gear: str
    fitted: FittedSetting | None
    in_other_gears: list
    last: LastSettings
    catch_row_g: float | None
    catch_g: float | None
    full_acres: float | None
    unknown: list

    @property
    def wanted_text(self):
        """The pounds as an address has them."""
        return f"{self.lb_per_acre:.2f}"

    @property
    def setting_text(self):
        return f"{self.fitted.setting:.1f}"


@dataclass(frozen=True)
class Seen:
    """What the boxes of a blend are worked out from; read once."""

    calibrations: list
    last: dict
    parts: dict  # NextPart by box


def method_of(machine):
    """How the machine sows, as plantings have it."""
    is_spreader = machine.kind == Machine.Kind.SPREADER
    return Planting.Method.BROADCAST if is_spreader else Planting.Method.DRILLED


def next_blend(machine, blend, gear=None):
    """NextBox rows for a blend on a machine; a box that gets none of it is left out.

    Parameters
    ----------
    machine : Machine
        With its property.
    blend : Blend
    gear : str, optional
        Whose calibrations count; of each box's latest calibration when left out.
    """
    seen = Seen(counting_calibrations(machine), last_settings(machine, blend), box_parts(machine, blend))
    return [_next_box(machine, blend, box, gear, seen) for box in boxes_of(machine) if box in seen.parts]


def box_parts(machine, blend):
    """{box: NextPart rows} of a blend by the machine's method."""
    rows = list(blend.components.select_related("species"))
    ids = [row.species_id for row in rows]
    facts = species_facts(machine.property, ids)
    lb_per_ft3 = densities(machine.property, ids, facts)
    method = method_of(machine)
    if blend.is_bought:
        rate = _float(getattr(blend, f"{method}_bulk_lb_per_acre"))
        shares = [(_float(row.tag_pct_by_weight), lb_per_ft3[row.species_id]) for row in rows]
        part = NextPart(str(blend), None, rate, None, "", rate, mixed(shares))
        return {Box.MAIN.value: [part]}
    boxes = boxes_for(machine, ids, facts)
    live = live_seed_of(machine.property, ids)
    found = {}
    for row in rows:
        rate = _float(getattr(row, f"{method}_pls_lb_per_acre"))
        fraction, whence = live[row.species_id]
        bulk = None if rate is None or not fraction else rate / fraction
        part = NextPart(
            str(row.species), row.species, rate, fraction, whence, bulk, lb_per_ft3[row.species_id]
        )
        found.setdefault(boxes[row.species_id], []).append(part)
    return found


def live_seed_of(property, species_ids):
    """{species id: (pure live fraction, whence in words)}: of the lot with the most on hand, else what is assumed."""
    order = SeedOrder.objects.filter(season__property=property).order_by("-season__year", "-pk").first()
    assumed = assumed_fraction(order or SeedOrder())
    found = dict.fromkeys(species_ids, (assumed, "assumed, no lot on hand"))
    for lot in lots_of(property, species__in=species_ids, on_hand_lb__gt=0).order_by("on_hand_lb"):
        fraction = live_fraction(lot)
        if fraction:
            found[lot.species_id] = (fraction, f"lot {lot.lot_number or lot.pk}")
    return found


def mixed(parts):
    """lb/ft³ of (pounds or share, lb/ft³) pairs; None while one is unknown, and of nothing."""
    if not parts or any(None in pair for pair in parts):
        return None
    pounds, densities_ = zip(*parts, strict=True)
    found = float(mix_lb_per_ft3(list(pounds), list(densities_)))
    return None if found != found else found


def density_in(machine, box, *, blend=None, species=None):
    """lb/ft³ of what a blend or a species brings through a box, from bushel weights; None while unknown."""
    if species is not None:
        return densities(machine.property, [species.pk])[species.pk]
    parts = box_parts(machine, blend).get(box, []) if blend is not None else []
    return _density(parts)


def catch_over(machine, lb_per_acre, course_ft):
    """(grams by one row, grams by the whole width) over a course; None where something is not known."""
    if None in (lb_per_acre, course_ft):
        return None, None
    whole = row = None
    if machine.width_ft:
        whole = float(seed_to_catch(lb_per_acre, course_ft, machine.width_ft * IN_PER_FT).catch_g)
    if machine.kind == Machine.Kind.DRILL and machine.spacing_in:
        row = float(seed_to_catch(lb_per_acre, course_ft, float(machine.spacing_in)).catch_g)
    return row, whole


def box_label(machine, box):
    return "Hopper" if machine.kind == Machine.Kind.SPREADER else Box(box).label


def _next_box(machine, blend, box, gear, seen):
    parts, last = seen.parts[box], seen.last[box]
    rates = [part.lb_per_acre for part in parts]
    lb_per_acre = None if None in rates else sum(rates)
    weighed = _weighed(seen.calibrations, blend, box)
    lb_per_ft3 = float(weighed.lb_per_ft3) if weighed else _density(parts)
    gear = (last.calibration.gear if last.calibration else "") if gear is None else gear
    row_g, whole_g = catch_over(machine, lb_per_acre, _float(machine.course_ft))
    volume = machine.box_ft3(box)
    is_known = volume and lb_per_ft3 and lb_per_acre

    def fitted_in(gear):
        return fitted_setting(
            machine, box, lb_per_acre, lb_per_ft3, gear, blend=blend, calibrations=seen.calibrations
        )

    others = {" ".join(row.gear.split()).casefold(): row.gear for row in seen.calibrations if row.box == box}
    in_others = [(each, fitted_in(each)) for each in others.values() if not same_gear(each, gear)]
    return NextBox(
        box=box,
        label=box_label(machine, box),
        parts=parts,
        lb_per_acre=lb_per_acre,
        lb_per_ft3=lb_per_ft3,
        is_weighed=weighed is not None,
        gear=gear,
        fitted=fitted_in(gear),
        in_other_gears=[(each, found) for each, found in in_others if found and found.setting is not None],
        last=last,
        catch_row_g=row_g,
        catch_g=whole_g,
        full_acres=volume * lb_per_ft3 / lb_per_acre if is_known else None,
        unknown=_unknown(machine, parts, lb_per_ft3),
    )


def _weighed(calibrations, blend, box):
    rows = (row for row in calibrations if row.blend_id == blend.pk and row.box == box)
    return next((row for row in rows if row.is_lb_per_ft3_weighed and row.lb_per_ft3), None)


def _density(parts):
    return mixed([(part.lb_per_acre, part.lb_per_ft3) for part in parts])


def _unknown(machine, parts, lb_per_ft3):
    how = method_of(machine).label.lower()
    found = [f"{part.name} has no rate {how}." for part in parts if part.rate_lb_per_acre is None]
    if lb_per_ft3 is None and (heavy := [part.name for part in parts if part.lb_per_ft3 is None]):
        found.append(
            f"The weight of a bushel is not known of {', '.join(heavy)}: weigh a bucket of what goes in the box."
        )
    if machine.course_ft is None:
        found.append(f"The calibration course of {machine} is not known, so no catch can be said.")
    if machine.width_ft is None:
        found.append(f"How wide {machine} sows is not known, so no catch can be said.")
    return found


def _float(value):
    return None if value is None else float(value)
