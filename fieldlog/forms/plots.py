"""What a person may change about a plot by typing."""

from django import forms

from blends.calc.residue import FAST_BELOW_CN, LASTING_ABOVE_CN
from plots.models import Plot

OBJECTIVES = [
    (
        Plot.Objective.HOLD_WEEDS,
        f"Hold weeds: residue above {LASTING_ABOVE_CN:g}:1, which lasts as mulch and ties nitrogen up",
    ),
    (
        Plot.Objective.FEED_NEXT,
        f"Feed the next crop: residue below {FAST_BELOW_CN:g}:1, which breaks down fast and feeds early",
    ),
    (Plot.Objective.BALANCE, f"Balance: residue from {FAST_BELOW_CN:g}:1 to {LASTING_ABOVE_CN:g}:1"),
    ("", "Not decided"),
]


class PlotForm(forms.ModelForm):
    objective = forms.ChoiceField(
        label="What its residue is for",
        required=False,
        choices=OBJECTIVES,
        widget=forms.RadioSelect,
        help_text="C:N is pounds of carbon to one of nitrogen; each blend says how far its own is from this.",
    )

    class Meta:
        model = Plot
        fields = ["name", "objective", "notes"]
        widgets = {"notes": forms.Textarea(attrs={"rows": 6})}
        error_messages = {"name": {"required": "The name is empty; a plot needs one of 1 to 80 characters."}}
