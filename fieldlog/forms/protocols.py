"""A protocol as an owner changes it: its settings are those of its kind."""

from django import forms

from fieldlog.kinds import KINDS
from fieldlog.kinds.answers import CHOICE, FLAG
from fieldlog.services.protocols import LONGEST_INSTRUCTIONS, LONGEST_NAME, MOST_DAYS
from plots.forms import PlainForm

ALL, SOME = "all", "some"
_SETTING = "set_"


class ProtocolForm(PlainForm):
    """Settings are fields named `set_` and the setting's name; `names` maps the service's fields to the form's."""

    name = forms.CharField(
        label="Name", max_length=LONGEST_NAME, error_messages={"required": "The protocol needs a name."}
    )
    is_on = forms.BooleanField(label="Visits ask for it", required=False)
    every_days = forms.IntegerField(
        label="Due again after (days)",
        required=False,
        min_value=1,
        max_value=MOST_DAYS,
        widget=forms.TextInput({"inputmode": "numeric", "class": "short"}),
        help_text="Empty: it is offered on every visit and never due.",
        error_messages={
            name: f"This is not a number of days; 1 to {MOST_DAYS} or nothing is accepted."
            for name in ("invalid", "min_value", "max_value")
        },
    )
    where = forms.ChoiceField(
        label="Where",
        choices=[(ALL, "On all plots"), (SOME, "On the plots ticked here")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it is for all plots or for some."},
    )
    plots = forms.TypedMultipleChoiceField(
        label="Plots", required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )
    instructions = forms.CharField(
        label="How it is done",
        required=False,
        max_length=LONGEST_INSTRUCTIONS,
        widget=forms.Textarea({"rows": 6}),
        help_text="The phone shows it with the questions. Left empty it is what the tool says.",
    )

    def __init__(self, now, plots, data=None):
        self.kind = now.kind
        super().__init__(data, initial=_initial(now))
        self.fields["plots"].choices = [(plot.pk, plot.name) for plot in plots]
        for setting in self.kind.settings:
            self.fields[_SETTING + setting.name] = _field_of(setting, self.kind)
        self.names = {f"settings.{each.name}": _SETTING + each.name for each in self.kind.settings}

    @property
    def setting_fields(self):
        return [self[_SETTING + each.name] for each in self.kind.settings]

    @property
    def said(self):
        """What `services.protocols.change_protocol` takes, once the form is valid."""
        typed = self.cleaned_data
        return {
            "name": typed["name"],
            "instructions": typed["instructions"],
            "settings": {each.name: typed[_SETTING + each.name] for each in self.kind.settings},
            "is_on": typed["is_on"],
            "plot_ids": typed["plots"] if typed["where"] == SOME else None,
            "every_days": typed["every_days"],
        }

    def clean(self):
        typed = super().clean()
        if typed.get("where") == SOME and not typed.get("plots") and "plots" not in self.errors:
            self.add_error("plots", "No plot is ticked; tick one or more, or choose all plots.")
        return typed


class NewProtocolForm(PlainForm):
    kind = forms.ChoiceField(
        label="Another one of",
        choices=[(key, kind.title) for key, kind in KINDS.items()],
        error_messages={"invalid_choice": "This is not a kind of reading; choose one of the list."},
    )


def _initial(now):
    first = {
        "name": now.name,
        "is_on": now.is_on,
        "every_days": now.every_days,
        "where": ALL if now.plot_ids is None else SOME,
        "plots": [] if now.plot_ids is None else sorted(now.plot_ids),
        "instructions": now.instructions,
    }
    for setting in now.kind.settings:
        value = now.settings[setting.name]
        is_figure = isinstance(value, int | float) and not isinstance(value, bool)
        first[_SETTING + setting.name] = f"{value:g}" if is_figure else value
    return first


def _field_of(setting, kind):
    label = f"{setting.label} ({setting.unit})" if setting.unit else setting.label
    about = {"label": label, "required": False, "help_text": _help(setting, kind)}
    if setting.ask == CHOICE:
        choices = [(each.value, each.label) for each in setting.choices]
        return forms.ChoiceField(choices=choices, widget=forms.RadioSelect, **about)
    if setting.ask == FLAG:
        return forms.BooleanField(**about)
    keyboard = "numeric" if setting.is_whole else "decimal"
    return forms.CharField(
        widget=forms.TextInput({"inputmode": keyboard, "class": "short"}), max_length=40, **about
    )


def _help(setting, kind):
    said = [setting.help]
    if setting.when:
        other = next(each for each in kind.settings if each.name == setting.when[0])
        labels = [each.label for each in other.choices if each.value in setting.when[1]]
        said.insert(0, f"For: {' or '.join(labels)}.")
    if setting.ask not in (CHOICE, FLAG) and setting.default is not None:
        unit = f" {setting.unit}" if setting.unit else ""
        said.append(f"Left empty it is {setting.default:g}{unit}.")
    return " ".join(filter(None, said))
