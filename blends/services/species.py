"""A property's own species and its own values for species of the reference table."""

from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.text import slugify

from blends.access import species_rows
from blends.facts import FACT_FIELDS
from blends.models import Basis, Species, SpeciesOverride
from config.errors import Conflict, Refused
from plots.services.rows import save_clean

RANGES = [(name, name.removesuffix("_low") + "_high") for name in FACT_FIELDS if name.endswith("_low")]


@transaction.atomic
def add_species(*, property, user, **values):
    """A species of the property's own.

    Parameters
    ----------
    property : Property
    user : User
        Whose species it is; every value given is marked as theirs.
    **values
        Columns of Species: `common_name`, `group` and what is known; the rest stays unknown.

    Raises
    ------
    Refused
        A value that a column does not accept, or a name that the property already sees.
    """
    unknown = values.keys() - {"common_name", *FACT_FIELDS}
    if unknown:
        raise Refused(f"“{min(unknown)}” is not a value of a species; accepted are {', '.join(FACT_FIELDS)}.")
    name = str(values.get("common_name", "")).strip()
    key = slugify(name).replace("-", "_")[:60]
    species = Species(**values | {"property": property, "key": key, "common_name": name})
    if species_rows(property).filter(Q(common_name__iexact=name) | Q(key=key)).exists():
        sentence = f"“{name}” is already in the species list; a new species needs a name of its own."
        raise Refused(sentence, fields={"common_name": [sentence]})
    given = [field for field in FACT_FIELDS if getattr(species, field) not in (None, "")]
    species.provenance = {
        field: {"basis": Basis.YOURS, "sources": [], "author": user.shown_name} for field in given
    }
    _check_ranges(species)
    return save_clean(species)


@transaction.atomic
def override_value(*, property, species, user, field, value, reason="", basis=Basis.YOURS):
    """The property's own value for one column of a species; the original stays and can come back.

    Parameters
    ----------
    species : Species
        Of the reference table or of the property.
    field : str
        A name of `facts.FACT_FIELDS`.
    value : str, Decimal or bool
        As typed; it is checked as the column checks it.
    basis : str
        MEASURED for a figure measured here, otherwise YOURS.

    Raises
    ------
    Refused
        Another property's species, an unknown field, a value that the column does not accept.
    """
    if species.property_id not in (None, property.pk):
        raise Refused("This species belongs to another property.")
    if field not in FACT_FIELDS:
        raise Refused(f"“{field}” is not a value of a species; accepted are {', '.join(FACT_FIELDS)}.")
    if basis not in (Basis.YOURS, Basis.MEASURED):
        raise Refused(f"“{basis}” is not a basis for a value of your own; accepted are yours and measured.")
    text = str(value).strip()
    cleaned = FACT_FIELDS[field].cleaned(text)
    Species.objects.select_for_update().get(pk=species.pk)  # two overrides at once queue here
    current = SpeciesOverride.objects.filter(property=property, species=species, ended_at=None)
    with_value = _with_overrides(species, current.exclude(field=field))
    setattr(with_value, field, cleaned)
    _check_ranges(with_value, field)
    current.filter(field=field).update(ended_at=timezone.now())
    return save_clean(
        SpeciesOverride(
            property=property,
            species=species,
            field=field,
            value=text,
            reason=reason.strip(),
            basis=basis,
            author=user,
        )
    )


@transaction.atomic
def end_override(*, override):
    """Return to the original value. The override stays on record as ended.

    Raises
    ------
    Conflict
        It has been ended already.
    """
    locked = SpeciesOverride.objects.select_for_update().filter(pk=override.pk, ended_at=None).first()
    if locked is None:
        raise Conflict("This value has already been returned to the original.")
    locked.ended_at = timezone.now()
    locked.save(update_fields=["ended_at"])


def _with_overrides(species, overrides):
    """A copy of the row, not for storing, with the property's values in place."""
    copy = Species.objects.get(pk=species.pk)
    for override in overrides:
        setattr(copy, override.field, FACT_FIELDS[override.field].cleaned(override.value))
    return copy


def _check_ranges(species, field=None):
    for low, high in RANGES:
        low_value, high_value = getattr(species, low), getattr(species, high)
        if None not in (low_value, high_value) and float(low_value) > float(high_value):
            label = FACT_FIELDS[low].label
            sentence = f"{label} is {low_value}, which is above the high value of {high_value}."
            raise Refused(sentence, fields={field or low: [sentence]})
