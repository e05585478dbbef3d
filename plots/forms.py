"""Forms of people, properties and imports. Services check again; forms only word it beside the field."""

from datetime import date

from django import forms

from plots.days import ACCEPTED, day_of_year, day_text
from plots.formats.limits import MAX_FILE_BYTES
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


class DayOfYearField(forms.CharField):
    """A month and a day typed in one field; None where it is left empty."""

    def __init__(self, **kwargs):
        widget = forms.TextInput({"class": "short", "autocomplete": "off"})
        super().__init__(required=False, max_length=40, widget=widget, **kwargs)

    def prepare_value(self, value):
        return day_text(value) if isinstance(value, date) else value

    def to_python(self, value):
        text = super().to_python(value)
        return text or None

    def clean(self, value):
        text = super().clean(value)
        try:
            return None if text is None else day_of_year(text)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error


class SettingsForm(PropertyForm):
    """What is known of a property as a whole."""

    last_frost_on = DayOfYearField(
        label="Last frost of spring",
        help_text=f"On average: frost comes later in one year of two. {ACCEPTED[0].upper()}{ACCEPTED[1:]}.",
    )
    first_frost_on = DayOfYearField(
        label="First frost of autumn", help_text="On average: frost comes earlier in one year of two."
    )
    address = forms.CharField(
        label="Address",
        max_length=500,
        required=False,
        widget=forms.Textarea({"rows": 4}),
        help_text="Where seed is delivered and billed to, as it stands on a purchase order.",
    )
    order_terms = forms.CharField(
        label="Terms",
        max_length=2000,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="On what terms you buy. A new purchase order begins with them.",
    )


class TokenForm(PlainForm):
    name = forms.CharField(
        label="What the token is for",
        max_length=ApiToken._meta.get_field("name").max_length,
        help_text="So that you know it again when you want to end it.",
    )


class ImportForm(PlainForm):
    file = forms.FileField(
        label="Boundary file",
        allow_empty_file=True,  # the reader says what is wrong with it
        help_text=(
            "GeoJSON, KML, KMZ, GPX, a zipped Shapefile, GeoPackage, or CSV with WKT; "
            f"at most {MAX_FILE_BYTES // 1_000_000} MB."
        ),
        widget=forms.FileInput({"accept": ".geojson,.json,.kml,.kmz,.gpx,.zip,.gpkg,.csv,.txt"}),
    )


_FIELDS_OF_NEED = {"crs": ["likely_crs", "crs"], "layer": ["layer"], "axes": ["swap_axes"]}


class AnswerForm(PlainForm):
    """What a person can say about how a file is to be read; offers what its report holds."""

    layer = forms.ChoiceField(label="Layer", required=False)
    likely_crs = forms.ChoiceField(label="Coordinate system", required=False)
    crs = forms.CharField(
        label="Another coordinate system",
        required=False,
        help_text="By its EPSG number, such as EPSG:26915. It goes before the choice above.",
        widget=forms.TextInput(
            {"autocapitalize": "characters", "spellcheck": "false", "autocomplete": "off"}
        ),
    )
    swap_axes = forms.BooleanField(label="The two coordinates are exchanged in the file", required=False)
    name_field = forms.ChoiceField(label="Attribute that names the plots", required=False)

    def __init__(self, boundary_import, data=None):
        row, report = boundary_import, boundary_import.report
        likely = [tuple(choice) for choice in report.get("likely_crs", [])]
        is_listed = row.crs in dict(likely)
        super().__init__(
            data,
            initial={
                "layer": row.layer or report.get("layer") or "",
                "likely_crs": row.crs if is_listed else "",
                "crs": "" if is_listed else row.crs,
                "swap_axes": row.swap_axes,
                "name_field": row.name_field,
            },
        )
        self.needs = report.get("needs")
        self.fields["likely_crs"].choices = [("", self._unsaid("crs")), *likely]
        self.fields["layer"].choices = [
            ("", self._unsaid("layer")),
            *((each, each) for each in report.get("layers", [])),
        ]
        self.fields["name_field"].choices = [
            ("", "As read"),
            *((each, each) for each in report.get("name_fields", [])),
        ]
        self._drop_useless(likely, report)

    def needed(self):
        """The fields of which one answers what is missing."""
        return [self[name] for name in _FIELDS_OF_NEED.get(self.needs, ()) if name in self.fields]

    def others(self):
        asked = {field.name for field in self.needed()}
        return [field for field in self if field.name not in asked]

    def _unsaid(self, need):
        return "Choose one" if self.needs == need else "As the file says"

    def _drop_useless(self, likely, report):
        if not likely:
            del self.fields["likely_crs"]
            alone = self.fields["crs"]
            alone.label = "Coordinate system"
            alone.help_text = "By its EPSG number, such as EPSG:26915. Leave it out if the file says it."
        if len(report.get("layers", [])) < 2:
            del self.fields["layer"]
        if not report.get("name_fields"):
            del self.fields["name_field"]

    def answers(self):
        """The arguments of services.imports.answer_import."""
        said = self.cleaned_data
        return {
            "layer": said.get("layer", ""),
            "crs": said["crs"].strip() or said.get("likely_crs", ""),
            "swap_axes": said["swap_axes"],
            "name_field": said.get("name_field", ""),
        }
