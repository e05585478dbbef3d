"""What a person may change about a plot by typing."""

from django import forms

from plots.models import Plot


class PlotForm(forms.ModelForm):
    class Meta:
        model = Plot
        fields = ["name", "notes"]
        widgets = {"notes": forms.Textarea(attrs={"rows": 6})}
        error_messages = {"name": {"required": "The name is empty; a plot needs one of 1 to 80 characters."}}
