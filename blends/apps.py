from django.apps import AppConfig


class BlendsConfig(AppConfig):
    name = "blends"
