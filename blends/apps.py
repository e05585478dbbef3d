from django.apps import AppConfig
from django.db.models.signals import post_migrate


class BlendsConfig(AppConfig):
    name = "blends"

    def ready(self):
        from blends.services import reference, stale
        from plots.services.measuring import acreage_changed

        acreage_changed.connect(stale.on_acreage_changed, dispatch_uid="blends")
        post_migrate.connect(reference.load_after_migrate, sender=self, dispatch_uid="blends")
