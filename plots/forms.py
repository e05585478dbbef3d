"""Forms of people, properties and imports. Services check again; forms only word it beside the field."""

from django import forms

from plots.models import ApiToken, Property, User


class PlainForm(forms.Form):
    """A form whose labels carry no colon."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)


class WelcomeForm(PlainForm):
    full_name = forms.CharField(
        label="Your name", max_length=150, required=False, widget=forms.TextInput({"autocomplete": "name"})
    )
    username = forms.CharField(
        label="User name",
        max_length=150,
        help_text="You sign in with it. Letters, digits and @ . + - _ are accepted.",
        validators=User._meta.get_field("username").validators,
        widget=forms.TextInput({"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        help_text="At least 8 characters, not a common password, not like your name.",
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
    )
    property_name = forms.CharField(
        label="Name of your property",
        max_length=Property._meta.get_field("name").max_length,
        help_text="The land your plots lie on, as you call it.",
    )


class PropertyForm(PlainForm):
    name = forms.CharField(
        label="Name of the property",
        max_length=Property._meta.get_field("name").max_length,
        help_text="The land your plots lie on, as you call it.",
    )


class TokenForm(PlainForm):
    name = forms.CharField(
        label="What the token is for",
        max_length=ApiToken._meta.get_field("name").max_length,
        help_text="So that you know it again when you want to end it.",
    )
