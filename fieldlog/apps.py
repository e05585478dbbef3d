from django.apps import AppConfig


class FieldlogConfig(AppConfig):
    name = "fieldlog"

    def ready(self):
        from django.contrib.auth.signals import user_logged_in

        from fieldlog.ogc import register_kinds
        from fieldlog.services.figures import follow_what_is_known
        from fieldlog.services.phones import remember_sign_in

        register_kinds()
        follow_what_is_known()
        user_logged_in.connect(remember_sign_in, dispatch_uid="when a session began")
