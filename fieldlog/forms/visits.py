"""The form of a visit."""

import uuid

from django import forms
from django.utils import timezone

from fieldlog.services.visits import LONGEST_NOTE, LONGEST_WHY
from plots.forms import PlainForm

_TYPED = "%Y-%m-%dT%H:%M"


class VisitForm(PlainForm):
    """`id` is made when the page opens, so that a press too many records nothing twice."""

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    visited_at = forms.DateTimeField(
        label="When",
        input_formats=[_TYPED, f"{_TYPED}:%S", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
        widget=forms.DateTimeInput({"type": "datetime-local", "class": "when"}, format=_TYPED),
        error_messages={
            "required": "The visit has no day and time; such as 2026-11-20 16:05 is accepted.",
            "invalid": "This is not a day and time; such as 2026-11-20 16:05 is accepted.",
        },
    )
    note = forms.CharField(
        label="What you saw",
        required=False,
        max_length=LONGEST_NOTE,
        widget=forms.Textarea({"rows": 5}),
        help_text="Stand, browsing, weeds, water: whatever the next person should know.",
    )

    def __init__(self, data=None, visit=None):
        first = {"id": uuid.uuid4(), "visited_at": timezone.now().replace(second=0, microsecond=0)}
        if visit is not None:
            first = {"visited_at": visit.visited_at, "note": visit.note, "plot": visit.plot_id}
        super().__init__(data, initial=first)
        if visit is not None:
            self._add_correction(visit.plot.property)
        self.fields["visited_at"].help_text = f"In the time zone {timezone.get_current_timezone_name()}."

    def _add_correction(self, property):
        self.fields["plot"] = forms.ModelChoiceField(
            property.plots.order_by("name"),
            label="Plot",
            required=False,
            empty_label=None,
            help_text="Another one where the visit was booked on the wrong plot; its readings go with it.",
            error_messages={
                "invalid_choice": "This is none of the property's plots; choose one of the list."
            },
        )
        self.fields["why"] = forms.CharField(
            label="Why it is corrected",
            required=False,
            max_length=LONGEST_WHY,
            help_text="Needed where the plot is another.",
        )
