"""Forms of imagery and of the property's own pictures."""

from django import forms

from config.imagery import LONGEST
from plots.forms import PlainForm
from plots.models import GroundPicture, Property
from plots.pictures.limits import MAX_FILE_BYTES

_PLAIN_TEXT = {"autocapitalize": "none", "spellcheck": "false", "autocomplete": "off"}


class ImageryForm(PlainForm):
    kind = forms.ChoiceField(label="Which pictures", required=False, widget=forms.RadioSelect)
    address = forms.CharField(
        label="Address of the tiles",
        required=False,
        max_length=LONGEST * 2,  # the service says what is too long
        widget=forms.Textarea(_PLAIN_TEXT | {"rows": 3}),
        help_text=(
            "XYZ: with {z}, {x} and {y} in it, or {-y} where rows are counted from the south. WMTS: a template with "
            "{TileMatrix}, {TileRow} and {TileCol}, whose tile matrix set is web Mercator, such as "
            "GoogleMapsCompatible. It begins with https:// and holds no key or password."
        ),
    )
    credit = forms.CharField(
        label="Credit",
        required=False,
        max_length=1000,
        help_text="The words that the provider asks for. They stand on every map.",
    )
    zoom = forms.IntegerField(
        label="Nearest zoom",
        required=False,
        help_text="The last one that the server has pictures for, 1 to 22. Nearer, the map enlarges them.",
        widget=forms.TextInput({"class": "short", "inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": "The nearest zoom is no whole number; accepted is 1 to 22."},
    )

    def __init__(self, *args, has_default, **kwargs):
        super().__init__(*args, **kwargs)
        default = (
            "What this installation is set to"
            if has_default
            else "What this installation is set to: none now"
        )
        self.fields["kind"].choices = [
            (Property.Imagery.NONE, "No pictures from another server"),
            (Property.Imagery.XYZ, "XYZ tiles"),
            (Property.Imagery.WMTS, "WMTS (OGC Web Map Tile Service)"),
            ("", default),
        ]


class AboutPictureForm(PlainForm):
    name = forms.CharField(label="Name", max_length=GroundPicture._meta.get_field("name").max_length)
    taken_on = forms.DateField(
        label="Taken on",
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "The day is no day of the calendar; one such as 2026-04-20 is accepted."},
    )
    is_shown = forms.BooleanField(label="Offer it on the maps", required=False)


class PictureForm(PlainForm):
    file = forms.FileField(
        label="Picture",
        allow_empty_file=True,
        help_text=f"GeoTIFF, or PNG or JPEG with its world file; at most {MAX_FILE_BYTES // 1_000_000} MB.",
        widget=forms.FileInput({"accept": ".tif,.tiff,.png,.jpg,.jpeg"}),
    )
    name = forms.CharField(
        label="Name",
        required=False,
        max_length=GroundPicture._meta.get_field("name").max_length,
        help_text="Such as “Flight of April”. Left empty it is the file's name.",
    )
    taken_on = AboutPictureForm.base_fields["taken_on"]
    world_file = forms.FileField(
        label="World file",
        required=False,
        allow_empty_file=True,
        help_text="Only for a picture that does not say where it lies: .tfw, .pgw, .jgw or .wld.",
        widget=forms.FileInput({"accept": ".tfw,.tifw,.pgw,.pngw,.jgw,.jpgw,.wld,.txt"}),
    )
    prj_file = forms.FileField(
        label="Coordinate system of the world file",
        required=False,
        allow_empty_file=True,
        help_text="The .prj file, if there is one; without it you are asked.",
        widget=forms.FileInput({"accept": ".prj,.txt"}),
    )


_FIELDS_OF_NEED = {
    "crs": ["likely_crs", "crs"],
    "world": ["world_file"],
    "far": ["is_far_confirmed", "likely_crs", "crs"],
}


class PlaceForm(PlainForm):
    """What a picture still lacks to be placed."""

    likely_crs = forms.ChoiceField(label="Coordinate system", required=False)
    crs = forms.CharField(
        label="Another coordinate system",
        required=False,
        max_length=40,
        help_text="By its EPSG number, such as EPSG:26915. It goes before the choice above.",
        widget=forms.TextInput(_PLAIN_TEXT | {"autocapitalize": "characters"}),
    )
    world_file = forms.FileField(label="World file", required=False, allow_empty_file=True)
    is_far_confirmed = forms.BooleanField(label="Yes, it lies there", required=False)

    def __init__(self, picture, *args, **kwargs):
        super().__init__(*args, **kwargs)
        need = picture.report.get("needs", "crs")
        likely = [tuple(each) for each in picture.report.get("likely_crs", [])]
        wanted = _FIELDS_OF_NEED[need]
        self.fields["likely_crs"].choices = [("", "Choose one"), *likely]
        for name in list(self.fields):
            if name not in wanted or (name == "likely_crs" and not likely):
                del self.fields[name]
        if "crs" in self.fields and not likely:
            self.fields["crs"].label = "Coordinate system"
            self.fields["crs"].help_text = "By its EPSG number, such as EPSG:26915."

    def answers(self):
        """The arguments of services.pictures.answer_picture."""
        said = self.cleaned_data
        return {
            "crs": said.get("crs", "").strip() or said.get("likely_crs", ""),
            "world_file": said.get("world_file"),
            "is_far_confirmed": said.get("is_far_confirmed", False),
        }
