from django.apps import AppConfig


class LaunchConfig(AppConfig):
    name = "yardwright.launch"
