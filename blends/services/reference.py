"""The reference table of species: read from fixtures/species and kept as the files say."""

import csv
from collections import defaultdict
from decimal import Decimal

from django.apps import apps as current_apps
from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, models, transaction


def load_after_migrate(sender, apps=current_apps, using=DEFAULT_DB_ALIAS, **kwargs):
    """Load the table after every `migrate`.

    A data migration would run once: a later correction of the files would need a migration of its own and
    the table would be spread over all of them. This way the files alone are the table, every upgrade
    brings the database up to them, and a flushed test database gets it back. `apps` is the state that was
    migrated to, so that a migration back to an earlier one finds the columns of that time: what it has no
    column for is left out.
    """
    try:
        species, source = apps.get_model("blends", "Species"), apps.get_model("blends", "Source")
    except LookupError:  # migrated back to before the app
        return
    load_reference(species, source, using)


def load_reference(species_model, source_model, using=DEFAULT_DB_ALIAS):
    """Bring sources and reference species up to the files; running it again writes nothing.

    A property's own species and its overrides are other rows and stay as they are. A species that has left
    the file stays too, since blends may hold it.
    """
    with transaction.atomic(using):
        _keep(source_model.objects.using(using), _rows("sources.csv"))
        reference = species_model.objects.using(using).filter(property=None)
        _keep(reference, _species_rows(species_model))


def _species_rows(species_model):
    columns = {field.name: field for field in species_model._meta.concrete_fields}
    provenance = defaultdict(dict)
    for row in _rows("provenance.csv"):
        if row["column"] in columns:
            entry = {"basis": row["basis"], "sources": row["sources"].split()}
            provenance[row["species"]][row["column"]] = entry
    return [
        {name: _value(columns[name], text) for name, text in row.items() if name in columns}
        | {"provenance": provenance[row["key"]]}
        for row in _rows("species.csv")
    ]


def _value(column, text):
    if isinstance(column, models.DecimalField):
        return Decimal(text) if text else None
    if isinstance(column, models.IntegerField):
        return int(text) if text else None
    return text == "yes" if isinstance(column, models.BooleanField) else text


def _keep(rows, wanted):
    """Insert and update by key; a row that is as wanted is not written."""
    stored = {row.key: row for row in rows}
    added, changed = [], []
    for values in wanted:
        row = stored.get(values["key"])
        if row is None:
            added.append(rows.model(**values))
        elif any(getattr(row, name) != value for name, value in values.items()):
            for name, value in values.items():
                setattr(row, name, value)
            changed.append(row)
    rows.bulk_create(added)
    if changed:
        rows.bulk_update(changed, [name for name in wanted[0] if name != "key"])


def _rows(name):
    path = settings.BASE_DIR / "fixtures" / "species" / name
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
