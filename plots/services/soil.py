"""Soil tests: what a laboratory found is recorded, corrected, struck out; nothing is erased."""

from datetime import date
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import transaction
from django.utils import timezone

from config.errors import Refused
from plots.models import SoilTest
from plots.services.earlier import keep_earlier
from plots.services.rows import save_clean

MEASURED = ("ph", "organic_matter_pct", "p_ppm", "k_ppm", "cec_meq_per_100g")
TYPED = (
    "sampled_on",
    "lab",
    "depth_top_in",
    "depth_bottom_in",
    *MEASURED,
    "p_method",
    "reported_in",
    "notes",
)
FIGURES = ("depth_top_in", "depth_bottom_in", *MEASURED)
EARLIEST = date(1900, 1, 1)
_UNITS = {
    "depth_top_in": " in",
    "depth_bottom_in": " in",
    "organic_matter_pct": " %",
    "p_ppm": " ppm",
    "k_ppm": " ppm",
    "cec_meq_per_100g": " meq/100 g",
}
_NAMES = {
    "depth_top_in": "The top of the sample",
    "depth_bottom_in": "The bottom of the sample",
    "organic_matter_pct": "Organic matter",
    "p_ppm": "Phosphorus (P)",
    "k_ppm": "Potassium (K)",
    "cec_meq_per_100g": "Cation exchange capacity (CEC)",
}


@transaction.atomic
def record_soil_test(*, plot, user, **values):
    """Record what a laboratory found in a sample of the plot's soil.

    Parameters
    ----------
    plot : Plot
    user : User
    **values
        Those of `TYPED`. `sampled_on` and `depth_bottom_in` are needed, and at least one figure of `MEASURED`; a
        figure that is left out or None was not measured. Depths are in inches from the surface.

    Returns
    -------
    SoilTest

    Raises
    ------
    Refused
        A value that cannot be used, or nothing measured.
    """
    return _checked_save(SoilTest(plot=plot, created_by=user, **_tidy(values)))


@transaction.atomic
def record_soil_tests(*, user, shared, by_plot):
    """Record one report of a laboratory that covers several plots: all of its rows, or none.

    Parameters
    ----------
    user : User
    shared : dict
        What holds for every plot: day, laboratory, depth, how P was extracted and how P and K are written.
    by_plot : list of (Plot, dict)
        Each plot's own figures.

    Returns
    -------
    list of SoilTest

    Raises
    ------
    Refused
        As `record_soil_test`, with `plot` on the error: the one whose row it is.
    """
    stored = []
    for plot, values in by_plot:
        try:
            stored.append(record_soil_test(plot=plot, user=user, **shared, **values))
        except Refused as error:
            error.plot = plot
            raise
    return stored


@transaction.atomic
def correct_soil_test(*, test, user, **values):
    """Change what was typed wrongly; what it said before stays in `earlier`. Arguments as `record_soil_test`."""
    test = SoilTest.objects.select_for_update(of=("self",)).select_related("plot").get(pk=test.pk)
    return _checked_save(test) if keep_earlier(test, user, _tidy(values)) else test


@transaction.atomic
def strike_soil_test(*, test, user):
    """Leave the test out of the trend: it was entered by mistake. It stays, shown as struck out."""
    return _set_struck(test, user, True)


@transaction.atomic
def unstrike_soil_test(*, test, user):
    return _set_struck(test, user, False)


def _set_struck(test, user, is_struck):
    test = SoilTest.objects.select_for_update(of=("self",)).select_related("plot").get(pk=test.pk)
    return save_clean(test) if keep_earlier(test, user, {"is_struck": is_struck}) else test


def _tidy(values):
    """Text without spaces around it, figures as decimals."""
    return {name: _tidied(name, value) for name, value in values.items()}


def _tidied(name, value):
    if name in FIGURES and value is not None:
        return Decimal(str(value))
    return value.strip() if isinstance(value, str) else value


def _checked_save(test):
    """Look at the row as a whole, then save it."""
    wrong = {name: sentence for name in FIGURES if (sentence := _out_of_range(name, getattr(test, name)))}
    if test.sampled_on is not None and (sentence := _wrong_day(test.sampled_on)):
        wrong["sampled_on"] = sentence
    top, bottom = test.depth_top_in, test.depth_bottom_in
    if not wrong and None not in (top, bottom) and top >= bottom:
        wrong["depth_bottom_in"] = (
            f"The sample reaches from {top:f} to {bottom:f} in deep; a bottom that lies deeper than the top is "
            "accepted."
        )
    if not wrong and all(getattr(test, name) is None for name in MEASURED):
        wrong[""] = "No figure is given; at least one of pH, organic matter, P, K and CEC is needed."
    if wrong:
        raise Refused(" ".join(wrong.values()), fields={name: [text] for name, text in wrong.items()})
    return save_clean(test)


def _out_of_range(name, figure):
    """Why the column does not take the figure; empty where it does."""
    if figure is None:
        return ""
    field = SoilTest._meta.get_field(name)
    least = next(each.limit_value for each in field.validators if isinstance(each, MinValueValidator))
    most = next(each.limit_value for each in field.validators if isinstance(each, MaxValueValidator))
    if not figure.is_finite() or not least <= figure <= most:
        said = f"from {least:f} to {most:f}{_UNITS.get(name, '')}"
    elif -figure.normalize().as_tuple().exponent > field.decimal_places:
        said = f"with at most {field.decimal_places} decimals"
    else:
        return ""
    thing = _NAMES.get(name, field.verbose_name)
    return f"{thing} is {figure}; a figure {said} is accepted."


def _wrong_day(day):
    today = timezone.localdate()
    if EARLIEST <= day <= today:
        return ""
    return f"The day of sampling is {day}; a day from {EARLIEST} to today, {today}, is accepted."
