"""Formsets whose rows may be missing."""

from django import forms
from django.utils.html import format_html, format_html_join


class LooseRows(forms.BaseFormSet):
    """Any row may be empty or absent, also one that was filled when the page was opened.

    A row that a script removed, or that another person has locked since, then leaves a gap and no error.
    """

    def initial_form_count(self):
        return 0

    @property
    def filled(self):
        """The forms that came back with something in them."""
        return [form for form in self.forms if getattr(form, "cleaned_data", None)]


class RowSelect(forms.Select):
    """A select of which a page has hundreds: its options are written once for each value, not for each row."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self._written = {}  # shared by the copies that the rows' forms make of the widget

    def render(self, name, value, attrs=None, renderer=None):
        value = "" if value is None else str(value)
        if value not in self._written:
            options = [
                (each, " selected" if str(each) == value else "", label) for each, label in self.choices
            ]
            self._written[value] = format_html_join("", '<option value="{}"{}>{}</option>', options)
        attrs = format_html_join("", ' {}="{}"', (attrs or {}).items())
        return format_html('<select name="{}"{}>{}</select>', name, attrs, self._written[value])


def loose_rows(form, prefix, most, data=None, initial=(), spare=0, formset=LooseRows, **form_kwargs):
    """A formset of `form`, one row for each of `initial` and `spare` empty ones."""
    made = forms.formset_factory(form, formset, extra=len(initial) + spare, max_num=most, absolute_max=most)
    return made(data, initial=initial or None, prefix=prefix, form_kwargs=form_kwargs)
