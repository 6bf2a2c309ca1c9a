"""Everything that can be set, top to bottom. What differs between shops comes from `SHOP_*` in the environment."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from pathlib import Path
from typing import Any

import dj_database_url

from shop.bootstrap.machine import own_names, secret_in
from shop.bootstrap.places import shop_folder
from shop.bootstrap.version import version


def _flag(name: str) -> bool:
    return os.environ.get(name, "").strip().lower() in {"1", "true", "yes", "on"}


def _words(name: str) -> list[str]:
    return [word for word in os.environ.get(name, "").replace(",", " ").split() if word]


# --- where things are ---------------------------------------------------------------------------------------

BASE_DIR = Path(__file__).resolve().parent.parent

# pytest sets this itself; what differs under test stands in one block at the end.
UNDER_TEST = "PYTEST_VERSION" in os.environ

if UNDER_TEST:
    # Each test process has a shop of its own; nothing it does can reach a real one.
    SHOP_DATA = Path(tempfile.mkdtemp(prefix="mendwright-test-"))
else:
    # Named here and made when the shop is opened (shop/front_door/serving.py): to read settings leaves nothing behind.
    SHOP_DATA = shop_folder(os.environ.get("SHOP_DATA"))
    # The folder may be there already, open to all: what is written into it is for its owner alone nevertheless.
    os.umask(0o077)

# Which Mendwright this is; the health page shows it.
VERSION = version()

# The demo says on every page that it is one, and keeps its cookies apart from the real shop's.
DEMO = _flag("SHOP_DEMO")

DEBUG = _flag("SHOP_DEBUG")
SECRET_KEY = os.environ.get("SHOP_SECRET_KEY") or secret_in(SHOP_DATA)

# --- who may call -------------------------------------------------------------------------------------------

ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *_words("SHOP_HOSTS")]
if _flag("SHOP_LAN"):
    ALLOWED_HOSTS += own_names()
# Whole origins ("https://bench.example"), needed when a proxy in front speaks HTTPS.
CSRF_TRUSTED_ORIGINS = _words("SHOP_ORIGINS")

# --- the rooms ----------------------------------------------------------------------------------------------

INSTALLED_APPS = [
    "shop.apps.ShopConfig",
    "shop.frame",
    "shop.keeping",
    "shop.press",
    "shop.premises",
    "shop.counter",
    "shop.stockroom",
    "shop.bench",
    "shop.office",
    "shop.dispatch",
    "shop.planner",
    "shop.records",
    "shop.window",
    "django_htmx",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "django.forms",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "shop.front_door.security.PolicyMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shop.front_door.security.NothingStaysMiddleware",
    "shop.front_door.security.StrangersMiddleware",
    "shop.front_door.security.NullsMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.frame.customs.LocalCustoms",
    "shop.premises.sessions.IdleMiddleware",
    "shop.premises.second_step.session.SecondStepMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.frame.customs.shop_profile",
            ],
        },
    }
]

# Fields, errors and choices are drawn by templates/django/forms/, the shop's own.
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

# --- the book -----------------------------------------------------------------------------------------------

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# SQLite up to 3.51.2 can corrupt a database in WAL mode when two connections meet (fixed in 3.51.3), so an
# older library keeps the rollback journal.
SQLITE_JOURNAL = "WAL" if sqlite3.sqlite_version_info >= (3, 51, 3) else "TRUNCATE"

DATABASES: dict[str, Any] = {
    "default": dj_database_url.config(
        default=f"sqlite:///{(SHOP_DATA / 'shop.sqlite3').as_posix()}",
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        # A transaction that reads first and writes later would fail at once when another writes in between:
        # take the write lock at the start, and wait for it, as long as a person waits (the page says that it is at it).
        "transaction_mode": "IMMEDIATE",
        "timeout": 40,
        "init_command": f"PRAGMA journal_mode={SQLITE_JOURNAL}; PRAGMA synchronous=FULL; PRAGMA cache_size=-64000",
    }
elif DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql":
    # PostgreSQL takes a page read out of order for four times as dear as the next one, as on a turning disk, and walks through
    # all jobs where its index of words would have found them; it compiles questions, and calls helpers for them, that are over
    # in milliseconds.
    DATABASES["default"].setdefault("OPTIONS", {}).setdefault(
        "options", "-c random_page_cost=1.1 -c jit=off -c max_parallel_workers_per_gather=0"
    )
# Off on purpose: a page that only reads must not take the write lock. Each action opens its own transaction.
ATOMIC_REQUESTS = False

# --- who is who ---------------------------------------------------------------------------------------------

AUTH_USER_MODEL = "frame.Staff"
AUTHENTICATION_BACKENDS = ["shop.frame.staff_backend.StaffBackend"]
LOGIN_URL = "premises:sign_in"
LOGIN_REDIRECT_URL = "records:first_screen"
LOGOUT_REDIRECT_URL = "premises:sign_in"

PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
    {"NAME": "shop.premises.passwords.WordsOfTheHouse"},
]

# Wrong codes are counted where wrong passwords are (shop/premises/signing_in.py): the library's own wait doubles without end.
OTP_TOTP_THROTTLE_FACTOR = 0
OTP_STATIC_THROTTLE_FACTOR = 0

# --- what the browser may do --------------------------------------------------------------------------------

# Named and shaped as in Django 6. No page has inline script or style, so no nonce is needed.
SECURE_CSP = {
    "default-src": ["'self'"],
    "script-src": ["'self'"],
    "style-src": ["'self'"],
    "img-src": ["'self'", "data:", "blob:"],
    "font-src": ["'self'"],
    "connect-src": ["'self'"],
    "worker-src": ["'self'"],
    "manifest-src": ["'self'"],
    "object-src": ["'none'"],
    "base-uri": ["'none'"],
    "form-action": ["'self'"],
    "frame-ancestors": ["'none'"],
}
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"

HTTPS = _flag("SHOP_HTTPS")
# A week: long enough that nobody between the tablet and the shop can turn the one into http, short enough for a shop that goes
# back to http. Longer where the shop says so; with 0 browsers that still come by https are told to forget it, which is the way
# back. Not for names below this one, which are somebody else's.
HSTS_DAYS = int(os.environ.get("SHOP_HSTS_DAYS") or 7)
SECURE_HSTS_SECONDS = HSTS_DAYS * 24 * 3600 if HTTPS else 0
# With --https nobody listens on plain http; behind a proxy it is the proxy that leads on to https.
SILENCED_SYSTEM_CHECKS = ["security.W008", "security.W005", "security.W021"] if HTTPS else []
# Browsers heed it on HTTPS only and complain on the console otherwise.
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin" if HTTPS else None
# Over https by names that the browser takes from this machine alone, by https, for no other (RFC 6265bis, 4.1.3.2).
SESSION_COOKIE_NAME = ("__Host-" if HTTPS else "") + ("mendwright-demo" if DEMO else "mendwright")
SESSION_ENGINE = "shop.premises.session_store"
SESSION_COOKIE_SECURE = HTTPS
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_NAME = f"{SESSION_COOKIE_NAME}-csrf"
CSRF_COOKIE_SECURE = HTTPS
MESSAGE_STORAGE = "shop.frame.told.Told"
CSRF_FAILURE_VIEW = "shop.front_door.refusals.stale_form"
if _flag("SHOP_BEHIND_PROXY"):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# --- how much at once ---------------------------------------------------------------------------------------

# Far above any form's own limits, so that a pasted log file is refused by the field it was pasted into, with
# the text kept; what is larger still is refused before it is read (shop/front_door/refusals.py).
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 8000  # an invoice of 400 lines
DATA_UPLOAD_MAX_NUMBER_FILES = 40
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o700

# --- letters by e-mail --------------------------------------------------------------------------------------

# Without a server's name nothing is sent: letters wait in the outbox, in sight.
EMAIL_HOST = os.environ.get("SHOP_MAIL_HOST", "")
EMAIL_SECURITY = os.environ.get("SHOP_MAIL_SECURITY", "starttls").strip().lower()
EMAIL_USE_TLS = EMAIL_SECURITY == "starttls"
EMAIL_USE_SSL = EMAIL_SECURITY == "tls"
EMAIL_PORT = int(os.environ.get("SHOP_MAIL_PORT") or (465 if EMAIL_USE_SSL else 587 if EMAIL_USE_TLS else 25))
EMAIL_HOST_USER = os.environ.get("SHOP_MAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("SHOP_MAIL_PASSWORD", "")
EMAIL_TIMEOUT = 30
# Empty: the profile's own address.
DEFAULT_FROM_EMAIL = os.environ.get("SHOP_MAIL_FROM", "")

# --- hearing ------------------------------------------------------------------------------------------------

# A model folder for faster-whisper; empty: recordings are not turned into text.
HEARING_MODEL = os.environ.get("SHOP_HEARING", "")

# --- pictures and style sheets ------------------------------------------------------------------------------

# Issued papers, pictures and files are private: views hand them out, the web server does not.
MEDIA_ROOT = SHOP_DATA / "kept"
MEDIA_URL = "kept/"

STATIC_URL = "static/"
STATIC_ROOT = SHOP_DATA / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
# Style sheets under their plain names, straight from the source folders: for work on them, and for tests.
STATIC_AS_IS = DEBUG or UNDER_TEST
STORAGES = {
    "default": {"BACKEND": "shop.keeping.settled.SettledStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if STATIC_AS_IS
        else "shop.front_door.hashed_files.HashedFiles"
    },
}
WHITENOISE_USE_FINDERS = STATIC_AS_IS
WHITENOISE_AUTOREFRESH = STATIC_AS_IS

# --- time and tongue ----------------------------------------------------------------------------------------

# Before there is a shop; then its profile says (shop/frame/customs.py).
USE_TZ = True
USE_I18N = True
TIME_ZONE = "UTC"
LANGUAGE_CODE = "en"

# --- the log ------------------------------------------------------------------------------------------------

LOG_DIR = SHOP_DATA / "log"

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "()": "shop.front_door.security.LineFormatter",
            "format": "{asctime} {levelname} {name}: {message}",
            "style": "{",
        },
        # a request's line brings its own time, in UTC
        "request": {"()": "shop.front_door.security.LineFormatter", "format": "{message}", "style": "{"},
    },
    "filters": {
        "without secrets": {"()": "shop.front_door.security.WithoutSecrets"},
        "of a shop": {"()": "shop.front_door.security.OfAShop"},
    },
    "handlers": {
        "file": {
            "filters": ["of a shop", "without secrets"],
            "class": "logging.handlers.RotatingFileHandler",
            "filename": LOG_DIR / "shop.log",
            "maxBytes": 2_000_000,
            "backupCount": 5,
            "delay": True,
            "encoding": "utf-8",
            "formatter": "line",
        },
        "access": {
            "filters": ["of a shop", "without secrets"],
            "class": "logging.handlers.RotatingFileHandler",
            "filename": LOG_DIR / "access.log",
            "maxBytes": 5_000_000,
            "backupCount": 5,
            "delay": True,
            "encoding": "utf-8",
            "formatter": "request",
        },
        "console": {
            "filters": ["without secrets"],
            "class": "logging.StreamHandler",
            "level": "ERROR",
            "formatter": "line",
        },
    },
    "root": {"handlers": ["file", "console"], "level": "INFO"},
    "loggers": {
        "django": {"handlers": ["file", "console"], "level": "INFO", "propagate": False},
        # scanners that ask for other hosts are noted, not shouted about
        "django.security": {"handlers": ["file"], "propagate": False},
        # 4xx answers are in the access log already
        "django.request": {"level": "ERROR"},
        "shop.access": {"handlers": ["access"], "propagate": False},
        # that callers wait for a thread is no news, and that one hung up is none
        "waitress": {"level": "ERROR"},
        "fontTools": {"level": "WARNING"},
        "weasyprint": {"level": "ERROR"},
    },
}

# --- under test ---------------------------------------------------------------------------------------------

if UNDER_TEST:
    # Passwords in tests guard nothing; hashing them slowly would cost minutes.
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    DATABASES["default"]["CONN_MAX_AGE"] = 0
    # What a test keeps need not outlive a power cut.
    STORAGES["default"]["BACKEND"] = "django.core.files.storage.FileSystemStorage"
    if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
        # In a file, not in memory: requests to the live server then have connections of their own.
        DATABASES["default"]["TEST"] = {"NAME": SHOP_DATA / "test.sqlite3"}
        DATABASES["default"]["OPTIONS"]["init_command"] = (
            f"PRAGMA journal_mode={SQLITE_JOURNAL}; PRAGMA synchronous=OFF; PRAGMA cache_size=-16000"
        )
    LOGGING["root"]["handlers"] = ["file"]
    LOGGING["loggers"]["django"]["handlers"] = ["file"]
