from django.apps import AppConfig


class FieldlogConfig(AppConfig):
    name = "fieldlog"

    def ready(self):
        from fieldlog.ogc import register_kinds
        from fieldlog.services.figures import follow_what_is_known

        register_kinds()
        follow_what_is_known()
