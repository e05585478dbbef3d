"""What the pages of every app share: which section a page stands in, and how errors reach a form."""

from dataclasses import dataclass

from django.core.exceptions import NON_FIELD_ERRORS


def section(name):
    """Mark a function view with the section of the navigation that it stands in."""

    def mark(view):
        view.section = name
        return view

    return mark


def show_refusal(form, error, *, names=None, rows=None):
    """Put the sentences of a SwardbookError beside the form's fields, or above the form where it has none.

    Parameters
    ----------
    form : Form
    error : SwardbookError
    names : dict, optional
        The form's own names of fields that the error calls otherwise.
    rows : dict, optional
        Lists of forms by what the error calls them: "seeds.2.lb" is `lb` of the third of `rows["seeds"]`.
    """
    names = names or {}
    said = False
    for name, sentences in error.fields.items():
        target, field = form, name
        of, _, inner = name.partition(".")
        position, _, inner = inner.partition(".")
        if of in (rows or {}) and position.isdecimal() and int(position) < len(rows[of]):
            target, field = rows[of][int(position)], inner
        field = names.get(field, field)
        for sentence in sentences:
            target.add_error(field if field in target.fields else None, sentence)
            said = True
    if not said:
        form.add_error(None, error.sentence)


@dataclass(frozen=True)
class Complaint:
    """One sentence for the summary above a form; `target` is the id of the field to mend, if it has one."""

    sentence: str
    label: str = ""
    target: str = ""


def complaints(*forms):
    """Every error of forms and formsets, in the order of the page, for `_error_summary.html`."""
    found = []
    for form in forms:
        if hasattr(form, "management_form"):
            found += [Complaint(sentence) for sentence in form.non_form_errors()]
            found += complaints(*form.forms)
            continue
        where = getattr(form, "place", "")
        for name in [name for name in (NON_FIELD_ERRORS, *form.fields) if name in form.errors]:
            sentences = form.errors[name]
            field = None if name == NON_FIELD_ERRORS else form[name]
            label = " ".join(filter(None, [where, field.label if field else ""]))
            found += [Complaint(each, label, field.id_for_label if field else "") for each in sentences]
    return found
