"""What a person gives when an older boundary is taken up again."""

from django import forms


class RestoreForm(forms.Form):
    why = forms.CharField(
        label="Why",
        required=False,
        max_length=300,
        error_messages={"max_length": "The reason has %(show_value)d characters; at most 300 are accepted."},
    )
    boundary = forms.IntegerField(widget=forms.HiddenInput)
    replaces = forms.IntegerField(widget=forms.HiddenInput)
