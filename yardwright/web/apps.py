from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "yardwright.web"
