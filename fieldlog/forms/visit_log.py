"""What is asked of the log, and the small forms beside a picture."""

from django import forms

from fieldlog.kinds import KINDS
from fieldlog.models import PhotoPoint
from fieldlog.services.photo_facts import LONGEST_CAPTION
from plots.forms import PlainForm

_DAY = {
    "invalid": "This is not a day; such as 2026-11-20 is accepted.",
}


class LogForm(PlainForm):
    """All may be left out. What is not understood is said, and asks for nothing."""

    plot = forms.TypedChoiceField(label="Plot", required=False, coerce=int, empty_value=None)
    kind = forms.ChoiceField(label="What was read", required=False)
    person = forms.TypedChoiceField(label="Who", required=False, coerce=int, empty_value=None)
    since = forms.DateField(
        label="From",
        required=False,
        error_messages=_DAY,
        widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"),
    )
    until = forms.DateField(
        label="To", required=False, error_messages=_DAY, widget=forms.DateInput({"type": "date"}, "%Y-%m-%d")
    )

    def __init__(self, data, plots, people):
        super().__init__(data)
        self.fields["plot"].choices = [("", "All"), *((each.pk, each.name) for each in plots)]
        self.fields["kind"].choices = [("", "Anything"), *((key, kind.title) for key, kind in KINDS.items())]
        self.fields["person"].choices = [("", "Anybody"), *((each.pk, each.shown_name) for each in people)]

    @property
    def asked(self):
        """{what: value} of what is asked and understood."""
        self.full_clean()
        return {name: value for name, value in self.cleaned_data.items() if value not in (None, "")}


class PointForm(PlainForm):
    name = forms.CharField(
        label="Name of the photo point",
        max_length=PhotoPoint._meta.get_field("name").max_length,
        error_messages={
            "required": "The photo point has no name; such as “North gate, looking south” is accepted."
        },
    )


class PhotoForm(PlainForm):
    file = forms.FileField(
        label="Picture",
        help_text="A JPEG, PNG or WebP of at most 12 MB. Place and camera that are written in it are dropped.",
        widget=forms.FileInput({"accept": "image/jpeg,image/png,image/webp"}),
        error_messages={
            "required": "No file is chosen; a JPEG, PNG or WebP is accepted.",
            "empty": "The file is empty.",
        },
    )
    caption = forms.CharField(label="Caption", required=False, max_length=LONGEST_CAPTION)
    point = forms.ModelChoiceField(
        PhotoPoint.objects.none(), label="Taken from the photo point", required=False, empty_label="None"
    )

    def __init__(self, plot, data=None, files=None):
        super().__init__(data, files)
        self.fields["point"].queryset = plot.photo_points.filter(is_archived=False)
