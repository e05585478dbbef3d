"""From rows to sheets: which seed of which lot, in which box, in how many fills."""

import numpy as np
from django.utils import timezone

from blends.calc.calibration import seed_to_catch
from blends.calc.sheets import HUNDREDTHS, hundredths, lot_shares
from blends.calc.tag_findings import names_treatment
from blends.models import Box
from blends.queries.machines import fitted_setting
from blends.queries.restrictions import restrictions_by_plot
from blends.queries.sheets.boxes import filled_box, mixed_densities
from blends.queries.sheets.cautions import BIRDS, INOCULANT, MACHINERY, treatment_caution
from blends.queries.sheets.recipes import recipes_of
from blends.queries.sheets.rows import MOST_IN_A_QUERY, machines_by_method, read
from blends.queries.sheets.shapes import ASSUMED, BULK, LOT, OFFER, Sheet, SheetInoculant, SheetSeed
from plots.calc.units import IN_PER_FT


def sheets(season, plot_ids=None, machine=None, level_pct=100.0, on=None):
    """The planting sheets of a season, or of some of its plots; at most 25 queries, whatever their number.

    Parameters
    ----------
    season : Season
        With its property, and its order where it has one.
    plot_ids : list of int, optional
        In the order of the run; without it all plots that are sown this season, by name.
    machine : Machine, optional
        For the plots whose method it suits; others, and all without it, are done with the property's only machine
        of the kind, if there is only one.
    level_pct : float
        How full the boxes are filled. [%]
    on : date, optional
        For which day inoculant has to be good; today without it.

    Returns
    -------
    list of Sheet
    """
    rows = read(season, plot_ids)
    machines = machines_by_method(season.property, machine)
    keys = dict.fromkeys((planting.blend_id, planting.method) for planting in rows.plantings)
    recipes = recipes_of(
        season.property, keys, rows.blends, machines, rows.instead, on or timezone.localdate()
    )
    maker = _Maker(rows, recipes, machines, level_pct, _restrictions(season.property, rows.plantings))
    return maker.made()


def _restrictions(property, plantings):
    """{plot id: sentences}; nothing here is worked out, it is what the labels said."""
    plot_ids = [planting.plot_id for planting in plantings]
    held = restrictions_by_plot(property, plot_ids if len(plot_ids) <= MOST_IN_A_QUERY else None)
    return {plot_id: [each.sentence for each in found] for plot_id, found in held.items()}


class _Maker:
    """Makes the sheets of one reading; what has to be computed for all boxes is computed at once."""

    def __init__(self, rows, recipes, machines, level_pct, restrictions):
        self.rows, self.recipes, self.machines = rows, recipes, machines
        self.level_pct, self.restrictions = level_pct, restrictions
        self._fitted = {}
        self._cautions = {}

    def made(self):
        drafts = [_Draft(planting, self) for planting in self.rows.plantings]
        boxes = [(draft, box, seeds) for draft in drafts for box, seeds in draft.by_box.items()]
        densities = mixed_densities([seeds for _, _, seeds in boxes])
        rates = [_sum(seed.lb_per_acre for seed in seeds) for _, _, seeds in boxes]
        catches = self._catches(boxes, rates)
        for (draft, box, seeds), density, rate, catch_g in zip(boxes, densities, rates, catches, strict=True):
            draft.boxes.append(self._box(draft, box, seeds, density, rate, catch_g))
        return [draft.sheet() for draft in drafts]

    def _catches(self, boxes, rates):
        """Grams over the machine's course and its whole width, for all boxes at once."""
        if not boxes:
            return []
        machines = [draft.machine for draft, _, _ in boxes]
        course = [float(m.course_ft) if m is not None and m.course_ft else None for m in machines]
        width = [m.width_ft * IN_PER_FT if m is not None and m.width_ft else None for m in machines]
        columns = (
            [np.nan if value is None else value for value in column] for column in (rates, course, width)
        )
        return [None if np.isnan(grams) else float(grams) for grams in seed_to_catch(*columns).catch_g]

    def _box(self, draft, box, seeds, density, rate, catch_g):
        machine, recipe = draft.machine, draft.recipe
        weighed = recipe.weighed.get(box)
        lb_per_ft3 = float(weighed.lb_per_ft3) if weighed else density
        last = recipe.last.get(box)
        return filled_box(
            machine=machine,
            box=box,
            seeds=tuple(seeds),
            lb_per_acre=rate,
            lb_per_ft3=lb_per_ft3,
            weighed=weighed,
            catch_g=catch_g,
            last=last,
            fitted=self._fitted_setting(machine, recipe, box, rate, lb_per_ft3, last),
            level_pct=self.level_pct,
        )

    def _fitted_setting(self, machine, recipe, box, rate, lb_per_ft3, last):
        """One fit for all plots whose rate is the same to four digits, which is finer than a setting can be set."""
        if machine is None or not rate:
            return None
        gear = last.gear if last is not None and last.is_calibrated else ""
        density = lb_per_ft3 and float(f"{lb_per_ft3:.4g}")
        key = machine.pk, box, recipe.blend.pk, f"{rate:.4g}", density, gear
        if key not in self._fitted:
            self._fitted[key] = fitted_setting(
                machine,
                box,
                float(f"{rate:.4g}"),
                density,
                gear,
                blend=recipe.blend,
                calibrations=self.recipes.calibrations[machine.pk],
            )
        return self._fitted[key]

    def cautions(self, recipe, lots):
        """The same tuple for all plots that take the same seed."""
        key = recipe.blend.pk, tuple(sorted(lot.pk for lot in lots if names_treatment(lot.treatment)))
        if key not in self._cautions:
            rules = [INOCULANT] if recipe.inoculant_groups else []
            found = [treatment_caution(lots), *rules, *recipe.hazards, MACHINERY, BIRDS]
            self._cautions[key] = tuple(found)
        return self._cautions[key]


class _Draft:
    """One sheet while it is being made."""

    def __init__(self, planting, maker):
        self.planting, self.maker = planting, maker
        self.recipe = maker.recipes.by_key[planting.blend_id, planting.method]
        self.machine = maker.machines[planting.method]
        self.acres = planting.acres_now
        self.gaps, self.boxes, self.taken = [], [], []
        self.is_ready = bool(self.recipe.parts)
        self._say_what_is_missing()
        self.seeds = [seed for part in self.recipe.parts for seed in self._seeds_of(part)]
        self._say_what_is_not_taken()
        self.by_box = {box: [] for box in Box.values}
        for seed in self.seeds:
            self.by_box[seed.box].append(seed)
        self.by_box = {box: seeds for box, seeds in self.by_box.items() if seeds}

    def _say_what_is_missing(self):
        if self.acres is None:
            why = (
                "it has no boundary"
                if self.planting.plot.boundary is None
                else "its boundary is not measured yet"
            )
            self.gaps.append(f"{self.planting.plot} has no acreage: {why}. Pounds cannot be worked out.")
        if not self.recipe.parts:
            self.gaps.append(f"{self.recipe.blend} has no components.")
        if self.machine is None:
            kind = "drill" if self.planting.method == "drilled" else "spreader"
            self.gaps.append(f"Choose a {kind}: fills, settings and the catch hang on it.")

    def _say_what_is_not_taken(self):
        for lot, _ in self.maker.rows.chosen.get(self.planting.pk, ()):
            if lot.pk not in self.taken:
                self.gaps.append(f"{lot} is chosen here, and nothing of {self.recipe.blend} takes it.")

    def _seeds_of(self, part):
        rows = self.maker.rows
        chosen = rows.chosen_of(self.planting, *part.key)
        self.taken += [lot.pk for lot, _ in chosen]
        for lot in [lot for lot, _ in chosen if part.species_id and rows.live[lot.pk] == 0]:
            self.is_ready = False
            self.gaps.append(f"{lot} has no live seed by its latest test or tag: choose another lot.")
            chosen = [each for each in chosen if each[0] is not lot]
        if part.lb_per_acre is None:
            method = self.planting.get_method_display().lower()
            self.gaps.append(f"{self._name(part)} has no {method} rate in {self.recipe.blend}.")
            self.is_ready = False
            return [self._seed(part, lot, None, None) for lot, _ in chosen] or [
                self._seed(part, None, None, None)
            ]
        if not chosen:
            self.is_ready = False
            return [self._seed(part, None, part.lb_per_acre, self._whole(part))]
        if self.acres is None:
            one = len(chosen) == 1
            return [self._seed(part, lot, part.lb_per_acre if one else None, None) for lot, _ in chosen]
        return self._shared(part, chosen)

    def _shared(self, part, chosen):
        """Seed of the chosen lots, and of no lot for what they do not bring."""
        needed = self.acres * part.lb_per_acre
        live = [self._live(part, lot)[0] for lot, _ in chosen]
        shares = lot_shares(needed, live, [None if lb is None else float(lb) for _, lb in chosen])
        found = [
            self._seed(part, lot, lb * fraction / self.acres, lb)
            for (lot, _), lb, fraction in zip(chosen, shares.lb, live, strict=True)
        ]
        kind = "lb" if part.species_id is None else "lb PLS"
        if shares.over_pls_lb:
            self.is_ready = False
            self.gaps.append(
                f"{self._name(part)}: the pounds chosen bring {shares.over_pls_lb:.2f} {kind} more than the rate asks for "
                f"({needed:.2f} {kind}). Take less of a lot."
            )
        if shares.short_pls_lb:
            self.is_ready = False
            self.gaps.append(
                f"{self._name(part)}: the lots chosen leave {shares.short_pls_lb:.2f} {kind} open. Choose another lot."
            )
            fraction, _ = self._live(part, None)
            rest = self._seed(
                part, None, shares.short_pls_lb / self.acres, shares.short_pls_lb / fraction, is_rest=True
            )
            found.append(rest)
        return found

    def _whole(self, part):
        """Bulk pounds of the part without a lot."""
        return None if self.acres is None else self.acres * part.lb_per_acre / self._live(part, None)[0]

    def _live(self, part, lot):
        """(live fraction, where it comes from)."""
        if part.species_id is None:
            return 1.0, BULK
        rows = self.maker.rows
        if lot is not None and rows.live[lot.pk]:
            return rows.live[lot.pk], LOT
        if lot is None and part.species_id in rows.offered:
            return rows.offered[part.species_id], OFFER
        return rows.assumed, ASSUMED

    def _seed(self, part, lot, lb_per_acre, lb, is_rest=False):
        """`lb_per_acre` is PLS, `lb` is bulk."""
        live, basis = self._live(part, lot)
        if basis == ASSUMED and lb_per_acre is not None:
            whose = f"{self._name(part)}, lot {lot.lot_number or lot.pk}," if lot else self._name(part)
            why = "has no germination or purity" if lot else "has no lot chosen"
            why = "lacks a lot for the rest" if is_rest else why
            self.gaps.append(f"{whose} {why}: {100 * live:.1f} % live seed is assumed.")
        elif lot is None and lb_per_acre is not None and not is_rest:
            self.gaps.append(f"{self._name(part)} has no lot chosen.")
        return SheetSeed(
            species=self.maker.recipes.species[part.species_id] if part.species_id else None,
            blend=self.recipe.blend if part.species_id is None else None,
            instead_of=part.instead_of,
            lot=lot,
            pls_lb_per_acre=lb_per_acre,
            live_fraction=None if basis == BULK else live,
            live_basis=basis,
            lb_per_acre=None if lb_per_acre is None else lb_per_acre / live,
            lb=None if lb is None else hundredths(lb) / HUNDREDTHS,
            box=self.recipe.boxes[part.key],
            lb_per_ft3=self.recipe.lb_per_ft3[part.key],
        )

    def _name(self, part):
        return str(self.maker.recipes.species[part.species_id] if part.species_id else self.recipe.blend)

    def sheet(self):
        lots = list({seed.lot.pk: seed.lot for seed in self.seeds if seed.lot is not None}.values())
        recipe = self.recipe
        return Sheet(
            planting=self.planting,
            acres=self.acres,
            machine=self.machine,
            seeds=tuple(seed for box in self.boxes for seed in box.seeds),
            boxes=tuple(self.boxes),
            lb=_sum(box.lb for box in self.boxes),
            lb_per_acre=_sum(box.lb_per_acre for box in self.boxes),
            depths=recipe.depths,
            depth_unknown=recipe.depth_unknown,
            soil_temp_f=recipe.soil_temp_f,
            soil_temp_of=recipe.soil_temp_of,
            inoculants=tuple(self._inoculants()),
            cautions=self.maker.cautions(recipe, lots),
            gaps=tuple(self.gaps),
            restrictions=tuple(self.maker.restrictions.get(self.planting.plot_id, ())),
            is_ready=self.is_ready and self.acres is not None,
            level_pct=self.maker.level_pct,
        )

    def _inoculants(self):
        species = self.maker.recipes.species
        for group, ids in self.recipe.inoculant_groups.items():
            own = [seed for seed in self.seeds if seed.species is not None and seed.species.pk in ids]
            kept = self.maker.recipes.inoculants.get(group, [])
            good = [row for row in kept if not row.is_expired]
            yield SheetInoculant(
                group=group,
                species=tuple(species[pk] for pk in ids),
                lb=_sum(seed.lb for seed in own) if own else None,
                lot=good[0] if good else None,
                trouble="" if good else _inoculant_trouble(kept),
            )


def _inoculant_trouble(kept):
    if not kept:
        return "None is in stock."
    return f"All of it is past its date (the latest {kept[-1].expires_on:%-d %b %Y})."


def _sum(values):
    """None where one of them is not known; None of nothing."""
    values = list(values)
    return None if not values or None in values else round(sum(values), 6)
