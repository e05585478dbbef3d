"""What a person says about a landmark: drawn on the map, or typed."""

from django import forms

from config.errors import Refused
from plots.forms import PlainForm
from plots.landmark_places import AREA, LINE, POINT, SHAPES, place_from, place_of_typed
from plots.models import Landmark


class LandmarkForm(PlainForm):
    kind = forms.ChoiceField(
        label="What it is",
        choices=[("", "Choose what it is"), *Landmark.Kind.choices],
        error_messages={"required": "Choose what it is."},
    )
    drawn_as = forms.ChoiceField(
        label="Drawn as",
        choices=[(POINT, "A point"), (LINE, "A line"), (AREA, "An area")],
        initial=POINT,
        required=False,
        help_text="For something else; the other kinds have one shape each.",
        widget=forms.RadioSelect,
    )
    name = forms.CharField(
        label="Name",
        max_length=80,
        required=False,
        help_text="Such as “North gate”. Without one it goes by its kind.",
    )
    note = forms.CharField(
        label="Note",
        max_length=2000,
        required=False,
        help_text="In your own words: the lock’s code is with whom, how deep the well is, why to keep out.",
        widget=forms.Textarea({"rows": 3}),
    )
    typed = forms.CharField(
        label="Coordinates",
        required=False,
        max_length=200_000,
        help_text=(
            "Latitude, then longitude, in decimal degrees, such as 38.0012, -92.0031. One place a line: one for a "
            "point, two or more for a line, the corners in turn for an area."
        ),
        widget=forms.Textarea({"rows": 2, "spellcheck": "false", "autocomplete": "off"}),
    )
    geometry = forms.CharField(required=False, max_length=500_000, widget=forms.HiddenInput)
    is_sure = forms.BooleanField(label="It does lie there", required=False)

    def __init__(self, data=None, landmark=None, only_words=False):
        initial = {}
        if landmark is not None:
            initial = {name: getattr(landmark, name) for name in ("kind", "name", "note")}
        super().__init__(data, initial=initial)
        self.landmark = landmark
        self.questioned = False
        if only_words:
            for name in ("kind", "drawn_as", "typed", "geometry", "is_sure"):
                del self.fields[name]

    def clean(self):
        said = super().clean()
        kind = said.get("kind")
        if kind:
            try:
                said["place"] = self._place(said, kind)
            except Refused as error:
                self.add_error("typed", error.sentence)
            except ValueError as error:
                self.add_error("typed", str(error))
        return said

    def _place(self, said, kind):
        """What was typed goes before what was drawn; None leaves the landmark where it is."""
        if said.get("typed", "").strip():
            shapes = SHAPES[kind]
            shape = shapes[0] if len(shapes) == 1 else said.get("drawn_as") or POINT
            return place_of_typed(said["typed"], shape, kind)
        if said.get("geometry"):
            return place_from(said["geometry"], kind)
        if self.landmark is None:
            raise Refused("Where it lies is not said yet: draw it on the map, or type its coordinates.")
        return None
