"""What the labels of sprayed products forbid on a plot, until it has passed.

Intervals are those that somebody typed from the label. Of several products the longest holds. Where a label gives no
interval that is said, and never taken for 0.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, time

from django.utils import timezone
from django.utils.formats import date_format

from blends.calc.labels import interval_until, reentry_until
from blends.models import COUNTS, Termination

REENTRY, GRAZING, PLANTING = "reentry", "grazing", "planting"
LABEL_IS_LAW = (
    "The label is the law: using a pesticide in a manner inconsistent with its labeling is unlawful "
    "(7 U.S.C. 136j(a)(2)(G))."
)
LICENCE = (
    "Restricted-use products are for certified applicators and for those whom one of them directly supervises "
    "(40 CFR 171); states may ask for more."
)
KEEP_OUT = (
    "Keep people out until the label's re-entry interval has passed; for workers this is the restricted-entry interval of "
    "the Worker Protection Standard (40 CFR 170)."
)


@dataclass(frozen=True)
class Restriction:
    """What holds on a plot now.

    Attributes
    ----------
    plot_id : int
    plot : str
        Its name.
    kind : str
        REENTRY, GRAZING or PLANTING.
    until : datetime
        The last moment at which it holds.
    product : str
        Of the label that holds longest.
    termination : Termination
    """

    plot_id: int
    plot: str
    kind: str
    until: datetime
    product: str
    termination: Termination

    @property
    def word(self):
        """What it forbids, for a mark in a list."""
        return {REENTRY: "keep out", GRAZING: "no grazing", PLANTING: "no planting"}[self.kind]

    @property
    def sentence(self):
        local = timezone.localtime(self.until)
        day = date_format(local, "j M Y")
        if self.kind == REENTRY:
            return f"Keep out until {day}, {local:%H:%M %Z} (label of {self.product})."
        if self.kind == GRAZING:
            return f"No grazing through {day} (label of {self.product})."
        return (
            f"No planting through {day} (label of {self.product}); what may be sown sooner is on the label."
        )


def restrictions(property, plot_ids=None, now=None):
    """What holds on the property's plots now, by plot and by what ends first; two queries.

    Parameters
    ----------
    plot_ids : list of int, optional
    now : datetime, optional

    Returns
    -------
    list of Restriction
        One a plot and kind: the longest. What has passed is not in it.
    """
    now = now or timezone.now()
    rows = Termination.objects.filter(
        COUNTS, planting__plot__property=property, method=Termination.Method.HERBICIDE
    )
    if plot_ids is not None:
        rows = rows.filter(planting__plot__in=plot_ids)
    longest = {}
    for row in rows.select_related("planting__plot", "planting__season").prefetch_related("products"):
        for found in _of(row):
            key = found.plot_id, found.kind
            if found.until >= now and (key not in longest or longest[key].until < found.until):
                longest[key] = found
    return sorted(longest.values(), key=lambda each: (each.plot, each.plot_id, each.until))


def restrictions_by_plot(property, plot_ids=None, now=None):
    """{plot id: list of Restriction}; plots on which nothing holds are not in it."""
    found = defaultdict(list)
    for each in restrictions(property, plot_ids, now):
        found[each.plot_id].append(each)
    return dict(found)


def silences(termination):
    """What the labels of a termination give no interval for, in sentences."""
    found = []
    for product in termination.products.all():
        gaps = [
            words
            for words, days in (("grazing", product.grazing_days), ("planting-back", product.planting_days))
            if days is None
        ]
        if gaps:
            found.append(
                f"The label of {product.name} gives no {' and no '.join(gaps)} interval, as it was typed; that is not "
                "an interval of 0 days."
            )
    return found


def _of(row):
    """The restrictions of one termination, whether or not they have passed."""
    plot = row.planting.plot
    sprayed_on = timezone.localtime(row.sprayed_until).date()
    for product in row.products.all():
        ends = (
            (REENTRY, reentry_until(row.sprayed_until, product.reentry_h)),
            (GRAZING, _end_of(interval_until(sprayed_on, product.grazing_days))),
            (PLANTING, _end_of(interval_until(sprayed_on, product.planting_days))),
        )
        for kind, until in ends:
            if until is not None:
                yield Restriction(plot.pk, plot.name, kind, until, product.name, row)


def _end_of(day):
    return None if day is None else timezone.make_aware(datetime.combine(day, time.max))
