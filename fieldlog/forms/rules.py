"""A rule as an owner changes it."""

from django import forms

from plots.forms import PlainForm


class RuleForm(PlainForm):
    """A field for each threshold; what is left empty goes back to the rule's own value."""

    def __init__(self, here, data=None):
        self.here = here
        super().__init__(data, initial={"is_on": here.is_on})
        for step in here.rule.thresholds:
            own = f"Left empty it is {step.default:g}{f' {step.unit}' if step.unit else ''}."
            self.fields[step.name] = forms.CharField(
                label=f"{step.label} ({step.unit})" if step.unit else step.label,
                required=False,
                max_length=40,
                initial=f"{here.thresholds[step.name]:g}",
                help_text=f"{step.help} {own}".strip(),
                widget=forms.TextInput({"inputmode": "decimal", "class": "short"}),
            )
        self.fields["is_on"] = forms.BooleanField(label="This rule is on", required=False)

    @property
    def threshold_fields(self):
        return [self[step.name] for step in self.here.rule.thresholds]

    @property
    def thresholds(self):
        return {step.name: self.cleaned_data[step.name] for step in self.here.rule.thresholds}
