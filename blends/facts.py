"""The values of a species that carry a basis: their columns, labels and units."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError

from blends.models import Hazard, Species
from config.errors import Refused


@dataclass(frozen=True)
class FactField:
    """One column of Species that holds a fact."""

    name: str
    label: str
    unit: str = ""

    @property
    def column(self):
        return Species._meta.get_field(self.name)

    def cleaned(self, text):
        """The column's value for what was typed.

        Raises
        ------
        Refused
            A sentence that names the field, the value and what is accepted.
        """
        try:
            if text == "":
                raise ValidationError("A value is needed; to return to the original, end the override.")
            return self.column.clean(text, None)
        except ValidationError as error:
            sentence = f"{self.label} is “{text}”: {' '.join(error.messages)}"
            raise Refused(sentence, fields={self.name: [sentence]}) from error

    def shown(self, value):
        """A choice in its words, yes or no for a flag; any other value as it is."""
        if isinstance(value, bool):
            return "yes" if value else "no"
        return dict(self.column.flatchoices).get(value, value)


@dataclass(frozen=True)
class HazardsField(FactField):
    """The hazards of a species: keys with spaces between, `NO_HAZARD` where a property says that it has none."""

    def cleaned(self, text):
        if text == NO_HAZARD:
            return ""
        keys = super().cleaned(text).split()
        return " ".join(hazard for hazard in Hazard.values if hazard in keys)

    def shown(self, value):
        labels = [hazard.label for hazard in Hazard if hazard in (value or "").split()]
        return ", ".join(labels).capitalize() or "None named"


NO_HAZARD = "none"

_FIELDS = (
    FactField("scientific_name", "Scientific name"),
    FactField("family", "Family"),
    FactField("group", "Functional group"),
    FactField("life_cycle", "Life cycle"),
    FactField("fixes_nitrogen", "Fixes nitrogen"),
    FactField("inoculant_group", "Inoculant"),
    FactField("browse_preference", "Deer preference"),
    FactField("cautions", "Cautions"),
    HazardsField("hazards", "Hazards"),
    FactField("seeds_per_lb", "Seeds per pound", "seeds/lb"),
    FactField("seeds_per_lb_range", "Seeds per pound, range", "seeds/lb"),
    FactField("lb_per_bu", "Weight of a bushel of seed", "lb/bu"),
    FactField("drill_lb_ac_low", "Full rate drilled, low", "PLS lb/ac"),
    FactField("drill_lb_ac_high", "Full rate drilled, high", "PLS lb/ac"),
    FactField("broadcast_lb_ac_low", "Full rate broadcast, low", "PLS lb/ac"),
    FactField("broadcast_lb_ac_high", "Full rate broadcast, high", "PLS lb/ac"),
    FactField("depth_in_low", "Seeding depth, low", "in"),
    FactField("depth_in_high", "Seeding depth, high", "in"),
    FactField("min_soil_temp_f", "Lowest soil temperature for sowing", "°F"),
    FactField("dry_matter_lb_ac_low", "Dry matter, low", "lb/ac"),
    FactField("dry_matter_lb_ac_high", "Dry matter, high", "lb/ac"),
    FactField("nitrogen_pct_vegetative", "Nitrogen while leafy", "% of dry matter"),
    FactField("nitrogen_pct_mature", "Nitrogen when mature", "% of dry matter"),
    FactField("cn_vegetative", "C:N while leafy"),
    FactField("cn_mature", "C:N when mature"),
    FactField("cover_cm2_per_g", "Ground covered by its residue", "cm²/g"),
    FactField("days_to_browse_low", "Seeding to first browse, low", "days"),
    FactField("days_to_browse_high", "Seeding to first browse, high", "days"),
    FactField("days_to_bloom_low", "Seeding to bloom or heading, low", "days"),
    FactField("days_to_bloom_high", "Seeding to bloom or heading, high", "days"),
    FactField("days_to_seed_low", "Seeding to ripe seed, low", "days"),
    FactField("days_to_seed_high", "Seeding to ripe seed, high", "days"),
    FactField("browsed_when", "Browsed"),
    FactField("seed_use", "Use of its seed"),
    FactField("winter_fate", "In winter"),
)
FACT_FIELDS = {field.name: field for field in _FIELDS}
"""By column; in the order in which they are shown."""
