"""A GiST index on PostGIS; SQLite uses the indexed extent columns instead."""

from django.db import migrations


def add_index(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("CREATE INDEX plots_boundary_gist ON plots_boundary USING gist (geometry)")


def drop_index(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP INDEX plots_boundary_gist")


class Migration(migrations.Migration):
    dependencies = [("plots", "0002_initial")]
    operations = [migrations.RunPython(add_index, drop_index)]
