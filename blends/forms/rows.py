"""Formsets whose rows may be missing."""

from django import forms


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


def loose_rows(form, prefix, most, data=None, initial=(), spare=0, formset=LooseRows, **form_kwargs):
    """A formset of `form`, one row for each of `initial` and `spare` empty ones."""
    made = forms.formset_factory(form, formset, extra=len(initial) + spare, max_num=most, absolute_max=most)
    return made(data, initial=initial or None, prefix=prefix, form_kwargs=form_kwargs)
