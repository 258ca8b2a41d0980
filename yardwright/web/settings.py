"""Settings. Each that a yard may change is an environment variable, YARDWRIGHT_*."""

import os
import secrets
from pathlib import Path
from typing import Any

from yardwright.web import sqlite as sqlite  # before Django loads the system's own

HOME = Path(os.environ.get("YARDWRIGHT_HOME", Path.cwd()))
_key = HOME / "secret-key"

DEBUG = os.environ.get("YARDWRIGHT_DEBUG") == "1"
SECRET_KEY = _key.read_text().strip() if _key.is_file() else secrets.token_urlsafe(50)
ALLOWED_HOSTS = os.environ.get("YARDWRIGHT_HOSTS", "localhost,127.0.0.1").split(",")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = os.environ.get("YARDWRIGHT_HTTPS") == "1"
GIVES_AUTHORITY_AT = os.environ.get("YARDWRIGHT_GIVES_AUTHORITY_AT", "")
INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "django_htmx",
    "yardwright.yard",
    "yardwright.fleet",
    "yardwright.school",
    "yardwright.work",
    "yardwright.launch",
    "yardwright.web",
]
MIDDLEWARE = [
    "yardwright.web.middleware.request_log",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "yardwright.web.middleware.OwnForms",
    "yardwright.web.middleware.once",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "yardwright.web.middleware.yard_time",
    "yardwright.web.kept.logged_out_post",
]
ROOT_URLCONF = "yardwright.web.urls"
WSGI_APPLICATION = "yardwright.web.wsgi.application"
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "/"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "yardwright.web.context.around_every_page",
            ]
        },
    }
]
DATABASES: dict[str, Any] = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": HOME / "yard.sqlite3",
        "CONN_MAX_AGE": 60,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": (
                "PRAGMA journal_mode=WAL;"
                "PRAGMA synchronous=FULL;"  # a reading said to be held is held, power cut or not
                "PRAGMA foreign_keys=ON;"
                "PRAGMA cache_size=-16000;"
                "PRAGMA journal_size_limit=67108864;"
            ),
        },
    }
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTHENTICATION_BACKENDS = ["yardwright.web.who.LogIns"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
USE_TZ = True
TIME_ZONE = "UTC"  # every page switches to the yard's own zone
STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

# A log is kept only where a yard is served: request ids, routes and times, no names.
LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"()": "yardwright.web.log.Lines"}},
    "handlers": {"null": {"class": "logging.NullHandler"}},
    "loggers": {"yardwright": {"handlers": ["null"], "level": "INFO", "propagate": False}},
}
if os.environ.get("YARDWRIGHT_SERVES") == "1":
    LOGGING["handlers"]["file"] = {
        "class": "logging.handlers.RotatingFileHandler",
        "filename": HOME / "yardwright.log",
        "maxBytes": 5_000_000,
        "backupCount": 5,
        "formatter": "line",
    }
    LOGGING["loggers"]["yardwright"]["handlers"] = ["file"]
    LOGGING["loggers"]["django.request"] = {"handlers": ["file"], "level": "ERROR"}
