"""A field for a figure that a person types, and its sentence when it cannot be used."""

import re
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

_COLUMNS_HOLD = {2**15 - 1, 2**31 - 1, 2**63 - 1}  # no limits that a person should read
_GROUPED = re.compile(r"[0-9]{1,3}(,[0-9]{3})+(\.[0-9]*)?")  # a comma anywhere else may mean a decimal


def plain_digits(text):
    """A figure as people type it, without its thousands separators, a $ before and a % behind."""
    text = text.strip().removeprefix("$").removesuffix("%").strip()
    return text.replace(",", "") if _GROUPED.fullmatch(text) else text


class FigureField(forms.DecimalField):
    """A decimal typed as people type it: thousands separators, a $ before and a % behind are accepted.

    The input is plain text with a numeric keyboard: browsers change or drop what is typed into
    type=number, and a wheel over it changes the figure.
    """

    widget = forms.TextInput

    def widget_attrs(self, widget):
        return {"inputmode": "decimal", "autocomplete": "off", "class": "short"}

    def prepare_value(self, value):
        """What is stored, without the zeros that the column pads it with; what was typed, as typed."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value

    def to_python(self, value):
        if isinstance(value, str):
            value = plain_digits(value)
        return super().to_python(value)

    def clean(self, value):
        try:
            return super().clean(value)
        except ValidationError as error:
            if error.error_list[0].code == "required":
                sentence = f"{self.accepted[0].upper()}{self.accepted[1:]} is needed."
            else:
                sentence = f"{value} is not accepted; {self.accepted} is."
            raise ValidationError(sentence, code=error.error_list[0].code) from error

    @property
    def accepted(self):
        """What may be typed, in words."""
        least, most = self.min_value, self.max_value
        if least is not None and most is not None:
            words = f"a number from {least} to {most}"
        elif least is not None and least > 0:
            words = "a number above 0"
        else:
            words = "a number" if least is None else f"a number of {least} or more"
        if self.decimal_places == 0:
            words = words.replace("a number", "a whole number")
        elif self.decimal_places is not None:
            words += f" with at most {self.decimal_places} decimals"
        return words


def limits_of(column):
    """`min_value` and `max_value` of a column of numbers, where it has them."""
    found = {}
    for validator in column.validators:
        if isinstance(validator, MinValueValidator):
            found["min_value"] = validator.limit_value
        if isinstance(validator, MaxValueValidator) and validator.limit_value not in _COLUMNS_HOLD:
            found["max_value"] = validator.limit_value
    return found


def figure_field(db_field, **kwargs):
    """A form's `formfield_callback`: columns of numbers become figures with the column's limits."""
    if isinstance(db_field, models.IntegerField):
        kwargs |= {"decimal_places": 0}
    if isinstance(db_field, models.DecimalField | models.IntegerField):
        kwargs.setdefault("form_class", FigureField)
        kwargs |= limits_of(db_field)
    return db_field.formfield(**kwargs)
