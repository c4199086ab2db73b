"""Settings of the site: the environment says where it lives, everything else stands here.

HARDPAN_DATA      folder of the database, the photos and the secret key
DATABASE_URL      PostgreSQL instead of SQLite
HARDPAN_HOSTS     names that the site answers to, with their port where it is not 443
HARDPAN_PROXY     "1" behind a reverse proxy that sets X-Forwarded-Proto and X-Forwarded-For itself
HARDPAN_PLAIN     "1" without TLS, for a browser on this machine only
"""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path

import font_source_sans_pro

from hardpan.site import home, logs

HERE = Path(__file__).parent
HARDPAN_DATA = home.data_folder()
HARDPAN_PROXY = os.environ.get("HARDPAN_PROXY") == "1"
HARDPAN_PLAIN = os.environ.get("HARDPAN_PLAIN") == "1"

SECRET_KEY = home.secret_key(HARDPAN_DATA)
DEBUG = False
ALLOWED_HOSTS = [home.host_name(name) for name in home.hosts()]
CSRF_TRUSTED_ORIGINS = [f"https://{name}" for name in home.hosts()]
DATABASES = {"default": home.database(HARDPAN_DATA)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "axes",
    "hardpan.site.accounts",
    "hardpan.site.streets",
    "hardpan.site.join",
    "hardpan.site.entries",
    "hardpan.site.photos",
    "hardpan.site.phone",
]
MIDDLEWARE = [
    "hardpan.site.headers.Headers",  # outermost, so that every answer carries them, errors too
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "hardpan.site.guard.Guard",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "hardpan.site.urls"
WSGI_APPLICATION = "hardpan.site.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [HERE / "templates", HERE / "phone" / "templates"],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]

# people

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
PASSWORD_LENGTH = 9  # the least at which Django's list of common passwords still holds more than 3,000 that count
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": PASSWORD_LENGTH},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ["sign_in_name", "name"]},
    },
]
PASSWORD_RESET_TIMEOUT = 3 * 24 * 3600  # an invitation that nobody took up
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "streets"
LOGOUT_REDIRECT_URL = "sign-in"

# five wrong passwords for one name from one address: closed to that pair for 15 minutes; nobody can lock another person out
AXES_HANDLER = "axes.handlers.cache.AxesCacheHandler"  # counts only: neither address nor browser is written down
AXES_CACHE = "sign-in"
AXES_CLIENT_IP_CALLABLE = "hardpan.site.throttle.masked_address"
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_FORM_FIELD = "username"  # as Django's form and its signal of a failure call it, whatever the model does
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False  # 15 minutes from the fifth, whatever is tried meanwhile
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_CALLABLE = "hardpan.site.answers.locked_out"
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False
CACHES = {
    "default": {  # rates of callers and plans: gone with the process, and may be
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "OPTIONS": {"MAX_ENTRIES": 20_000},
    },
    "sign-in": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "sign_in_failures"},
}

# sessions and cookies

SESSION_COOKIE_NAME = "__Host-hardpan"
SESSION_COOKIE_SECURE = True
SESSION_COOKIE_AGE = 12 * 3600
CREW_COOKIE_NAME = "__Host-hardpan-crew"
CSRF_COOKIE_NAME = "__Host-hardpan-csrf"
CSRF_COOKIE_SECURE = True
CSRF_FAILURE_VIEW = "hardpan.site.answers.csrf_failure"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

# transport

SECURE_SSL_REDIRECT = not HARDPAN_PLAIN
SECURE_HSTS_SECONDS = 0 if HARDPAN_PLAIN else 2 * 365 * 24 * 3600
SECURE_HSTS_INCLUDE_SUBDOMAINS = True
SECURE_HSTS_PRELOAD = True
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HARDPAN_PROXY else None
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000  # of a body that is no file; files have limits of their own where they are read
DATA_UPLOAD_MAX_NUMBER_FILES = 60
FILE_UPLOAD_PERMISSIONS = 0o600

# files

STATIC_URL = "static/"
STATIC_ROOT = HARDPAN_DATA / "static"
STATICFILES_DIRS = [HERE / "static", ("fonts", Path(font_source_sans_pro.font_directory))]
STATICFILES_FINDERS = [
    "hardpan.site.faces.Files",
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",  # htmx
]
STORAGES = {
    "default": {
        "BACKEND": "django.core.files.storage.InMemoryStorage"
    },  # nothing uses it; photos have a store of their own
    "staticfiles": {"BACKEND": "hardpan.site.phone.modules.Modules"},
}
WHITENOISE_ALLOW_ALL_ORIGINS = False
WHITENOISE_MIMETYPES = {".otf": "font/otf"}
PHOTOS = HARDPAN_DATA / "photos"

# words

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("fr", "Français"), ("es", "Español")]
LOCALE_PATHS = [HERE / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

# logs: what was asked for and how it went; no name, no token, no body

LOGGING = logs.LOGGING
