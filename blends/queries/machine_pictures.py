"""The pictures of a machine's page: for each box and gear, settings against pounds with the fitted line."""

from blends.calc.settings_fit import line_through
from blends.pictures.calibration import Point, calibration_picture
from blends.queries.machines import points, same_gear


def pictures_of(rows, boxes, blend=None):
    """[(heading, Picture)] by box and gear; by volume where seed of other weights lies in between.

    Parameters
    ----------
    rows : list of CalibrationRow
    boxes : list of NextBox
    blend : Blend, optional
        The one that was chosen, which `boxes` are of; its rate, weight and setting are drawn in.
    """
    counting = [row for row in rows if not row.calibration.is_struck]
    groups = {}
    for row in reversed(counting):
        gear = " ".join(row.calibration.gear.split()).casefold()
        groups.setdefault((row.calibration.box, gear), []).append(row)
    chosen = {box.box: box for box in boxes}
    found = []
    for number, ((box, _), group) in enumerate(groups.items()):
        wanted = chosen.get(box)
        if wanted is not None and not same_gear(wanted.gear, group[-1].calibration.gear):
            wanted = None
        found += _drawn(f"calibrations-{number}", group, wanted, blend)
    return found


def _drawn(key, group, wanted, blend):
    fitted = wanted.fitted if wanted else None
    lb_per_ft3 = wanted.lb_per_ft3 if wanted else None
    weights = [row.calibration.lb_per_ft3 for row in group]
    latest = next((float(each) for each in reversed(weights) if each is not None), None)
    by_volume = fitted.by_volume if fitted else None not in weights
    factor = (lb_per_ft3 or latest or 1.0) if by_volume else 1.0
    if by_volume:
        shown = [row for row in group if row.calibration.lb_per_ft3 is not None]
    else:
        same = str(blend) if fitted else group[-1].of
        shown = [row for row in group if row.of == same]
    if not shown:
        return []
    settings, delivered = points([row.calibration for row in shown], by_volume)
    marks = [
        Point(
            setting,
            factor * amount,
            float(row.calibration.lb_per_acre),
            f"{row.calibration.calibrated_on.day} {row.calibration.calibrated_on:%b %Y}",
            row.of,
            row.calibration.gear,
        )
        for row, setting, amount in zip(shown, settings, delivered, strict=True)
    ]
    heading = shown[-1].box_label + (f", {shown[-1].calibration.gear}" if shown[-1].calibration.gear else "")
    seed = f"pounds of seed of {factor:.1f} lb/ft³" if by_volume else shown[-1].of
    known = {}
    if fitted and fitted.setting is not None:
        known = {
            "wanted": wanted.lb_per_acre, "setting": fitted.setting, "low": fitted.low, "high": fitted.high,
        }  # fmt: skip
    picture = calibration_picture(key, marks, line_through(settings, delivered), factor, **known)
    left_out = len(group) - len(shown)
    return [(heading, f"As {seed}." + (f" {left_out} left out: of other seed." if left_out else ""), picture)]
