from django.apps import AppConfig


class FleetConfig(AppConfig):
    name = "yardwright.fleet"
