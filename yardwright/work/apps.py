from django.apps import AppConfig


class WorkConfig(AppConfig):
    name = "yardwright.work"
