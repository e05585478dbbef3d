"""Forms of work and of reports on it."""

import uuid
from decimal import Decimal

from django import forms
from django.utils import timezone

from fieldlog.models import WorkItem
from plots.forms import PlainForm
from plots.models import Membership, Plot

_TYPED = "%Y-%m-%dT%H:%M"


def _day(label, help_text=""):
    return forms.DateField(
        label=label,
        required=False,
        help_text=help_text,
        widget=forms.DateInput({"type": "date", "class": "when"}, format="%Y-%m-%d"),
        error_messages={"invalid": "This is not a day; such as 2026-11-20 is accepted."},
    )


def people_of(property):
    """[(id, name)] of those who belong to the property."""
    rows = Membership.objects.filter(property=property).select_related("user")
    return sorted(((row.user_id, row.user.shown_name) for row in rows), key=lambda each: each[1].casefold())


def _chosen(label, nobody, rows):
    return forms.TypedChoiceField(
        label=label,
        required=False,
        coerce=int,
        empty_value=None,
        choices=[("", nobody), *rows],
        error_messages={"invalid_choice": "%(value)s is not one of this property."},
    )


class WorkForm(PlainForm):
    """`id` is made when the page opens, so that a press too many writes nothing down twice."""

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    kind = forms.ChoiceField(label="What kind of work", choices=WorkItem.Kind.choices)
    title = forms.CharField(
        label="In a few words",
        required=False,
        max_length=120,
        help_text="Left empty it is called by its kind.",
    )
    starts_on = _day("Not before")
    due_on = _day("Done by", "Left empty it has no day.")
    tools = forms.CharField(label="Take along", required=False, max_length=200)
    how = forms.CharField(
        label="How it is done", required=False, max_length=2000, widget=forms.Textarea({"rows": 5})
    )

    def __init__(self, property, data=None, item=None, initial=None):
        first = {"id": uuid.uuid4(), "kind": WorkItem.Kind.OTHER} | (initial or {})
        if item is not None:
            first = {
                name: getattr(item, name) for name in ("kind", "title", "starts_on", "due_on", "tools", "how")
            }
            first |= {"plot_id": item.plot_id, "assigned_to_id": item.assigned_to_id}
        super().__init__(data, initial=first)
        plots = Plot.objects.filter(property=property, is_archived=False).order_by("name")
        rows = list(plots.values_list("pk", "name"))
        if item is not None and item.plot and item.plot.is_archived:
            rows.append((item.plot_id, f"{item.plot.name} (archived)"))
        self.fields["plot_id"] = _chosen("Where", "The whole property", rows)
        self.fields["assigned_to_id"] = _chosen("Who", "Nobody yet", people_of(property))
        self.order_fields(["id", "kind", "title", "plot_id", "assigned_to_id", "starts_on", "due_on"])


class ReportForm(PlainForm):
    """What was done, and for how long."""

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    done_at = forms.DateTimeField(
        label="When",
        input_formats=[_TYPED, f"{_TYPED}:%S", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
        widget=forms.DateTimeInput({"type": "datetime-local", "class": "when"}, format=_TYPED),
        error_messages={
            "required": "The report has no day and time; such as 2026-11-20 16:05 is accepted.",
            "invalid": "This is not a day and time; such as 2026-11-20 16:05 is accepted.",
        },
    )
    minutes = forms.DecimalField(
        label="Minutes spent",
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(10_000),
        decimal_places=1,
        widget=forms.TextInput({"inputmode": "decimal", "class": "short"}),
        help_text="Of all who worked, together. Left empty they are not known.",
        error_messages={
            name: "This is not a number of minutes; 0 to 10,000 or nothing is accepted."
            for name in ("invalid", "min_value", "max_value", "max_decimal_places")
        },
    )
    is_finished = forms.BooleanField(label="The work is done", required=False, initial=True)
    note = forms.CharField(label="Note", required=False, max_length=1000, widget=forms.Textarea({"rows": 3}))

    def __init__(self, data=None):
        now = timezone.localtime().replace(second=0, microsecond=0)
        super().__init__(data, initial={"id": uuid.uuid4(), "done_at": now, "is_finished": True})
