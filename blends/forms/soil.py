"""What a laboratory's report says: of one plot, or of several in one table."""

from decimal import Decimal

from django import forms

from blends.forms.bench import DayField
from blends.forms.figures import FigureField
from plots.calc.soil_units import lb_per_acre_to_ppm, ppm_to_lb_per_acre
from plots.models import SoilTest

MEASURED = {"ph": "ph", "organic_matter_pct": "organic_matter_pct", "p": "p_ppm", "k": "k_ppm", "cec_meq_per_100g": "cec_meq_per_100g"}  # fmt: skip
"""Field of the form: column of the test. P and K are typed in either unit, and kept in ppm."""

NUTRIENTS = ("p", "k")


def _limits(name):
    """The column's own limits, for the field that is typed into it."""
    column = SoilTest._meta.get_field(name)
    least, most = sorted(each.limit_value for each in column.validators if hasattr(each, "limit_value"))
    return {"min_value": least, "max_value": most, "decimal_places": column.decimal_places}


def _nutrient(label, name):
    limits = _limits(name)
    return FigureField(
        label=label, required=False, **limits | {"max_value": ppm_to_lb_per_acre(limits["max_value"])}
    )


class ReportForm(forms.Form):
    """What holds for every sample of a report."""

    sampled_on = DayField(label="Sampled on")
    lab = forms.CharField(label="Laboratory", max_length=80, required=False)
    depth_top_in = FigureField(label="From (in deep)", initial=Decimal(0), **_limits("depth_top_in"))
    depth_bottom_in = FigureField(label="To (in deep)", **_limits("depth_bottom_in"))
    p_method = forms.ChoiceField(
        label="P was extracted by",
        choices=[("", "Not said"), *SoilTest.PMethod.choices],
        required=False,
        help_text="Only figures of one way can be compared.",
    )
    reported_in = forms.ChoiceField(
        label="P and K are given in",
        choices=SoilTest.ReportedIn.choices,
        help_text="lb/ac is halved to ppm, which holds for soil 6⅔ in deep.",
    )

    def __init__(self, data=None, initial=None):
        super().__init__(data, initial=initial, label_suffix="")

    @property
    def shared(self):
        """The values that go into every test."""
        return {name: self.cleaned_data[name] for name in ReportForm.base_fields}


class FiguresForm(forms.Form):
    """What was found in one sample; what is left empty was not measured."""

    ph = FigureField(label="pH in water", required=False, **_limits("ph"))
    organic_matter_pct = FigureField(
        label="Organic matter (%)", required=False, **_limits("organic_matter_pct")
    )
    p = _nutrient("Phosphorus, P", "p_ppm")
    k = _nutrient("Potassium, K", "k_ppm")
    cec_meq_per_100g = FigureField(label="CEC (meq/100 g)", required=False, **_limits("cec_meq_per_100g"))
    notes = forms.CharField(label="Notes", max_length=2000, required=False)

    def found(self, reported_in):
        """The test's own columns, P and K in ppm."""
        said = self.cleaned_data
        values = {column: said[field] for field, column in MEASURED.items()}
        if reported_in == SoilTest.ReportedIn.LB_PER_ACRE:
            for field in NUTRIENTS:
                if said[field] is not None:
                    values[MEASURED[field]] = lb_per_acre_to_ppm(said[field])
        return values | {"notes": said["notes"]}


class SoilTestForm(ReportForm, FiguresForm):
    """One test of one plot."""

    notes = forms.CharField(
        label="Notes", max_length=2000, required=False, widget=forms.Textarea({"rows": 3})
    )
    field_order = [*ReportForm.base_fields, *FiguresForm.base_fields]

    def __init__(self, data=None, test=None, today=None):
        super().__init__(data, initial={"sampled_on": today} if test is None else typed_before(test))

    @property
    def said(self):
        return self.shared | self.found(self.cleaned_data["reported_in"])


def typed_before(test):
    """A test as the form shows it: P and K as they were reported."""
    initial = {name: getattr(test, name) for name in [*ReportForm.base_fields, "notes"]}
    for field, column in MEASURED.items():
        value = getattr(test, column)
        if field in NUTRIENTS and value is not None and test.reported_in == SoilTest.ReportedIn.LB_PER_ACRE:
            value = ppm_to_lb_per_acre(value)
        initial[field] = value
    return initial


class PlotRowForm(FiguresForm):
    """One plot's row in a report of several; a row of which nothing is filled is no test."""

    def __init__(self, plot, data=None):
        super().__init__(data, prefix=f"plot-{plot.pk}", label_suffix="")
        self.plot, self.place = plot, plot.name

    @property
    def is_filled(self):
        return any(value not in (None, "") for value in self.cleaned_data.values())
