from django.apps import AppConfig


class FieldlogConfig(AppConfig):
    name = "fieldlog"

    def ready(self):
        from fieldlog.ogc import register_kinds

        register_kinds()
