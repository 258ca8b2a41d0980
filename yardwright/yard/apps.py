from django.apps import AppConfig


class YardConfig(AppConfig):
    name = "yardwright.yard"
