from django.apps import AppConfig


class FieldlogConfig(AppConfig):
    name = "fieldlog"

    def ready(self):
        from django.db.models.signals import post_save

        from blends.models import Planting
        from fieldlog.ogc import register_kinds
        from fieldlog.services.figures import planting_saved

        register_kinds()
        post_save.connect(planting_saved, sender=Planting, dispatch_uid="figures of its plot's readings")
