"""Offers were quoted by the pack until now, and 0 lb on hand was what nobody had said."""

from django.db import migrations
from django.db.models import F


def as_quoted(apps, schema_editor):
    apps.get_model("blends", "Offer").objects.filter(quoted_usd=None).update(quoted_usd=F("price_usd"))
    apps.get_model("blends", "OrderChoice").objects.filter(on_hand_lb=0).update(on_hand_lb=None)


def as_before(apps, schema_editor):
    apps.get_model("blends", "OrderChoice").objects.filter(on_hand_lb=None).update(on_hand_lb=0)


class Migration(migrations.Migration):
    dependencies = [("blends", "0003_from_order_to_seed")]
    operations = [migrations.RunPython(as_quoted, as_before)]
