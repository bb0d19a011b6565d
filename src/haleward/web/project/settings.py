"""Django settings. What differs between installations comes from the environment (docs/configuration.md)."""

from __future__ import annotations

from pathlib import Path

from csp.constants import NONCE, NONE, SELF

from haleward.web.project import environment

WEB = Path(__file__).resolve().parent.parent
DATA = environment.data_folder()
DEBUG = environment.flag("DEBUG", default=False)
HTTPS = environment.flag("HTTPS", default=False)
SECRET_KEY = environment.secret_key(DATA)
ALLOWED_HOSTS = environment.names("HOSTS", "127.0.0.1,localhost")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",  # the templates of its controls, for our own renderer
    "axes",
    "csp",
    "simple_history",
    "django_tasks",
    "django_tasks_db",
    "haleward.web.accounts",
    "haleward.web.team",
    "haleward.web.protocol",
    "haleward.web.languages",
    "haleward.web.people",
    "haleward.web.assessment",
    "haleward.web.prescription",
    "haleward.web.delivery",
    "haleward.web.concerns",
    "haleward.web.reckoner",
    "haleward.web.library",
    "haleward.web.studio",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "haleward.web.accounts.access.AccessMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "haleward.web.project.faults.FaultMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "haleward.web.project.urls"
WSGI_APPLICATION = "haleward.web.project.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [WEB / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "csp.context_processors.nonce",
                "haleward.web.accounts.access.navigation",
                "haleward.web.languages.shown.page_language",
            ],
            "builtins": ["haleward.web.project.templatetags.show"],
        },
    }
]
DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": DATA / "haleward.sqlite3",
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 10,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
        },
    }
}
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}  # worked through by web.work
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
ATOMIC_REQUESTS = False

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}", **options}
    for name, options in (
        ("UserAttributeSimilarityValidator", {}),
        ("MinimumLengthValidator", {"OPTIONS": {"min_length": 12}}),
        ("CommonPasswordValidator", {}),
    )
]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign_in"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "accounts/locked.html"
AXES_RESET_ON_SUCCESS = True
SESSION_COOKIE_AGE = 10 * 60 * 60
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_HTTPONLY = True  # no script of ours reads it: forms carry the token
CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF, NONCE],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "media-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

LANGUAGE_CODE = "en-gb"
TIME_ZONE = environment.time_zone("Europe/London")
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA / "static"
# The second folder holds the modules of the session page: its figure plays in the library as well.
STATICFILES_DIRS = [WEB / "static", ("js/player", WEB.parent / "render" / "page_assets")]
STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]  # our own files only
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "haleward.web.project.storage.HashedStaticFiles"},
}
MEDIA_ROOT = DATA / "media"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FORM_RENDERER = "haleward.web.project.forms.Renderer"
SILENCED_SYSTEM_CHECKS: list[str] = []
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    # Refused requests are not logged: an address may hold a person's link.
    "loggers": {"axes": {"level": "WARNING"}, "django.request": {"level": "ERROR"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
