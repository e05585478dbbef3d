"""What is asked of a search for the cheapest way to buy, and a substitution in an order."""

from django import forms

from blends.services.buying import MOST_SECONDS, MOST_SUPPLIERS, SECONDS


class CountField(forms.IntegerField):
    """A whole number typed as text, with a sentence that says what is accepted."""

    widget = forms.TextInput({"inputmode": "numeric", "autocomplete": "off", "class": "short"})

    def __init__(self, *, most, **kwargs):
        self.most = most
        super().__init__(min_value=1, max_value=most, **kwargs)

    def clean(self, value):
        try:
            return super().clean(value)
        except forms.ValidationError as error:
            raise forms.ValidationError(
                f"“{value}” is not accepted; a whole number from 1 to {self.most} is."
            ) from error


class AskForm(forms.Form):
    """The limit of suppliers, the swaps that may be made, and the time."""

    most_suppliers = CountField(
        most=MOST_SUPPLIERS,
        label="Suppliers at most",
        required=False,
        help_text="Fewer deliveries to wait for. Empty is no limit.",
    )
    seconds = CountField(
        most=MOST_SECONDS,
        label="Seconds to search",
        initial=SECONDS,
        help_text="Most orders are proven in a few seconds; after this time the best so far is the answer.",
    )
    swaps = forms.MultipleChoiceField(
        label="May be bought and sown instead",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Whole species only, at as many live seeds to the square foot. Tick what you would sow.",
    )

    def __init__(self, *args, swaps=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["swaps"].choices = [
            (f"{species.pk}:{instead.pk}", f"{instead} instead of {species}: {factor:.2f} lb for each pound")
            for species, instead, factor in swaps
        ]
        if not swaps:
            del self.fields["swaps"]

    @property
    def pairs(self):
        """The swaps as pairs of ids."""
        return [tuple(map(int, text.split(":"))) for text in self.cleaned_data.get("swaps", [])]


class SubstituteForm(forms.Form):
    """One species of the order, what is sown instead, and why."""

    pair = forms.ChoiceField(
        label="Sow instead", error_messages={"required": "Choose what is sown instead of which species."}
    )
    reason = forms.CharField(
        label="Because",
        max_length=300,
        help_text="Out of stock, cheaper, hardier: whoever reads the sheets sees it.",
        error_messages={"required": "Say why in a few words."},
    )

    def __init__(self, *args, groups=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["pair"].choices = [
            ("", "Choose"),
            *(
                (
                    str(species),
                    [
                        (
                            f"{species.pk}:{instead.pk}",
                            f"{instead} instead of {species} ({factor:.2f} lb a pound)",
                        )
                        for instead, factor in ways
                    ],
                )
                for species, ways in groups
            ),
        ]

    @property
    def ids(self):
        return tuple(map(int, self.cleaned_data["pair"].split(":")))
