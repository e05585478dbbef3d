"""A machine, the boxes of its species, and a calibration typed beside the drill."""

from django import forms
from django.utils import timezone

from blends.access import species_rows
from blends.forms.bench import DayField
from blends.forms.blends import species_choices
from blends.forms.figures import FigureField, figure_field
from blends.models import Blend, Box, Machine
from blends.queries.machines import boxes_of
from blends.queries.next_blend import box_label
from blends.queries.seasons import blends_to_assign
from blends.services.machines import MACHINE_FIELDS, MOST_CATCHES, MOST_CAUGHT_G

CATCHES, MORE_CATCHES = 4, 4


class MachineForm(forms.ModelForm):
    class Meta:
        model = Machine
        fields = list(MACHINE_FIELDS)
        formfield_callback = figure_field
        labels = {
            "openers": "Openers",
            "spacing_in": "Between openers (in)",
            "swath_ft": "Effective swath (ft)",
            "main_box_ft3": "Seed box or hopper (ft³)",
            "small_box_ft3": "Small-seed box (ft³)",
            "setting_low": "Lowest setting",
            "setting_high": "Highest setting",
            "course_ft": "Calibration course (ft)",
        }
        help_texts = {
            "swath_ft": "Between passes, with their overlap; not as far as it throws.",
            "main_box_ft3": "Level full. A US bushel is 1.244 ft³.",
            "small_box_ft3": "Empty if it has none.",
            "setting_high": "As its scale has it; a fitted setting outside is said.",
            "course_ft": "How far you drive to catch seed, such as 150.",
        }
        widgets = {"kind": forms.RadioSelect, "note": forms.Textarea({"rows": 2})}

    WHAT, DRILL, SPREADER, BOXES, SETTINGS = (
        ["name", "kind"],
        ["openers", "spacing_in", "small_box_ft3"],
        ["swath_ft"],
        ["main_box_ft3"],
        ["setting_low", "setting_high", "course_ft"],
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["kind"].choices = Machine.Kind.choices
        self.fields["name"].error_messages["required"] = "The machine needs a name."

    def _post_clean(self):
        """The service checks the row, so that page and API say the same."""

    def _fields(self, names):
        return [self[name] for name in names]

    @property
    def drill_fields(self):
        return self._fields(self.DRILL)

    @property
    def spreader_fields(self):
        return self._fields(self.SPREADER)

    @property
    def box_fields(self):
        return self._fields(self.BOXES)

    @property
    def setting_fields(self):
        return self._fields(self.SETTINGS)


class BoxForm(forms.Form):
    """Where one species goes; nothing chosen is the rule's box."""

    box = forms.ChoiceField(required=False)

    def __init__(self, species, by_rule, data=None, initial=""):
        super().__init__(data, prefix=f"species-{species.pk}", initial={"box": initial}, label_suffix="")
        self.species, self.place = species, species.common_name
        self.fields["box"].label = f"Box for {species.common_name}"
        self.fields["box"].choices = [("", f"By the rule: {Box(by_rule).label.lower()}"), *Box.choices]


def seed_choices(property):
    """What can be in a box: a blend, or a species alone."""
    blends = [(f"blend:{blend.pk}", str(blend)) for blend in blends_to_assign(property)]
    groups = [
        (label, [(f"species:{pk}", name) for pk, name in options])
        for label, options in species_choices(species_rows(property))[1:]
    ]
    return [("", "Not noted"), *([("Blends", blends)] if blends else []), *groups]


def seed_of(property, value):
    """{"blend": …} or {"species": …} of a choice of `seed_choices`; nothing where nothing was noted."""
    kind, _, pk = value.partition(":")
    if not pk:
        return {}
    rows = species_rows(property) if kind == "species" else Blend.objects.filter(property=property)
    return {kind: rows.get(pk=pk)}


class CalibrationForm(forms.Form):
    """One calibration. `wanted` is not kept: what a catch should weigh is said from it."""

    seed = forms.ChoiceField(label="In the box", required=False)
    box = forms.ChoiceField(label="Box")
    wanted = FigureField(
        label="Wanted (bulk lb/ac)",
        required=False,
        min_value=0,
        decimal_places=4,
        help_text="To say what a catch should weigh; it is not kept.",
    )
    setting = FigureField(label="Setting", min_value=0, decimal_places=2)
    gear = forms.CharField(
        label="Range or gear",
        max_length=40,
        required=False,
        help_text="As the drill has it. Settings of different gears are never fitted together.",
        widget=forms.TextInput({"list": "gears", "autocomplete": "off"}),
    )
    course_ft = FigureField(label="Course (ft)", min_value=1, max_value=5280, decimal_places=1)
    rows_per_catch = FigureField(label="Rows in each catch", min_value=1, max_value=200, decimal_places=0)
    lb_per_ft3 = FigureField(
        label="Weight of the seed (lb/ft³)",
        required=False,
        min_value=1,
        max_value=100,
        decimal_places=3,
        help_text="Weighed in a bucket of known volume. Empty: worked out from bushel weights.",
    )
    calibrated_on = DayField(label="On")
    note = forms.CharField(label="Note", max_length=1000, required=False, widget=forms.Textarea({"rows": 2}))

    def __init__(self, machine, data=None, initial=None):
        super().__init__(
            data,
            initial={
                "calibrated_on": timezone.localdate(),
                "rows_per_catch": 1,
                "course_ft": machine.course_ft,
                "box": boxes_of(machine)[0],
            }
            | (initial or {}),
            label_suffix="",
        )
        self.machine = machine
        self.fields["seed"].choices = seed_choices(machine.property)
        self.fields["box"].choices = [(box, box_label(machine, box)) for box in boxes_of(machine)]
        if machine.kind == Machine.Kind.SPREADER:
            del self.fields["rows_per_catch"]
        for number in range(self._count(data)):
            what = "Pass" if machine.kind == Machine.Kind.SPREADER else "Catch"
            self.fields[f"catch-{number}"] = FigureField(
                label=f"{what} {number + 1} (g)",
                required=False,
                min_value=0,
                max_value=MOST_CAUGHT_G,
                decimal_places=2,
            )

    @staticmethod
    def _count(data):
        if data is None:
            return CATCHES
        numbers = [name.partition("-")[2] for name in data if name.startswith("catch-")]
        found = [int(number) + 1 for number in numbers if number.isdecimal() and len(number) <= 3]
        more = MORE_CATCHES if data.get("act") == "more" else 0
        return min(max([CATCHES, *found]) + more, MOST_CATCHES)

    @property
    def catch_fields(self):
        return [self[name] for name in self.fields if name.startswith("catch-")]

    @property
    def caught_g(self):
        """The catches that could be read; a field left empty is no catch, a 0 is one."""
        names = [name for name in self.fields if name.startswith("catch-")]
        return [self.cleaned_data[name] for name in names if self.cleaned_data.get(name) is not None]

    @property
    def said(self):
        """For `record_calibration`."""
        names = ["setting", "box", "gear", "course_ft", "lb_per_ft3", "calibrated_on", "note"]
        values = {name: self.cleaned_data[name] for name in names}
        return (
            values
            | {"caught_g": self.caught_g, "rows_per_catch": int(self.cleaned_data.get("rows_per_catch") or 1)}
            | seed_of(self.machine.property, self.cleaned_data["seed"])
        )


class NextForm(forms.Form):
    """Which blend comes next, and in which gear."""

    blend = forms.TypedChoiceField(label="Next blend", coerce=int, required=False, empty_value=None)
    gear = forms.ChoiceField(label="Range or gear", required=False)

    def __init__(self, machine, gears, data=None):
        super().__init__(data, label_suffix="")
        blends = [(blend.pk, str(blend)) for blend in blends_to_assign(machine.property)]
        self.fields["blend"].choices = [("", "Choose a blend"), *blends]
        if len(gears) > 1:
            words = [(f"={gear}", gear or "none noted") for gear in gears]
            self.fields["gear"].choices = [("", "As last calibrated"), *words]
        else:
            del self.fields["gear"]

    @property
    def chosen_gear(self):
        """None: of each box's latest calibration."""
        return self.cleaned_data.get("gear", "").partition("=")[2] if self.cleaned_data.get("gear") else None
