"""Django's settings; every environment variable is read here, and listed in DEVELOPERS.md."""

import os
from pathlib import Path

import dj_database_url
from celery.schedules import crontab
from csp.constants import NONE, SELF

from orders.core.stages import Stage
from shop import env

ROOT = Path(__file__).resolve().parent.parent
DATA = env.folder("TRENAIL_DATA", ROOT / "var")

# Who may reach it, and how
DEBUG = env.flag("TRENAIL_DEBUG", default=False)
HTTPS = env.flag("TRENAIL_HTTPS", default=not DEBUG)
SECRET_KEY = env.text("TRENAIL_SECRET_KEY") or env.kept_secret(DATA / "secret-key")
ALLOWED_HOSTS = env.words("TRENAIL_HOSTS", "127.0.0.1,localhost,[::1],testserver")
CSRF_TRUSTED_ORIGINS = env.words("TRENAIL_ORIGINS")
if env.flag("TRENAIL_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

SECURE_SSL_REDIRECT = HTTPS
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 14 * 24 * 3600

# What it is made of
INSTALLED_APPS = [
    "orders",
    "shop",
    "costing",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django.forms",
    "axes",
    "csp",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shop.web.middleware.CurrentWorkshop",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
FORM_RENDERER = "shop.web.forms.TrenailRenderer"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.web.context.sheet",
            ],
            "builtins": ["orders.web.formats"],
        },
    }
]

# Where rows live
DATABASES = {
    "default": dj_database_url.parse(
        env.text("DATABASE_URL") or f"sqlite:///{DATA / 'trenail.sqlite3'}", conn_max_age=600
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA cache_size=-20000;"
            " PRAGMA mmap_size=134217728; PRAGMA temp_store=MEMORY; PRAGMA foreign_keys=ON;"
        ),
    }
    DATABASES["default"]["TEST"] = {"NAME": str(DATA / "test.sqlite3")}

# Who is who
AUTH_USER_MODEL = "shop.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "shop.services.access.RoleBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "shop/locked_out.html"
AXES_USERNAME_FORM_FIELD = "username"
AXES_VERBOSE = False

# Mail: to the console until a server is named
EMAIL_HOST = env.text("TRENAIL_MAIL_HOST")
EMAIL_PORT = env.number("TRENAIL_MAIL_PORT", 587)
EMAIL_HOST_USER = env.text("TRENAIL_MAIL_USER")
EMAIL_HOST_PASSWORD = env.text("TRENAIL_MAIL_PASSWORD")
EMAIL_USE_TLS = env.flag("TRENAIL_MAIL_TLS", default=True)
DEFAULT_FROM_EMAIL = env.text("TRENAIL_MAIL_FROM", "trenail@localhost")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'console'}.EmailBackend"

# Words, times and files
LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = True
STATIC_URL = "static/"
STATIC_ROOT = DATA / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "shop.static_storage.QuicklyCompressed"
        if not DEBUG
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = [
    "br",
    "gz",
    "jpg",
    "map",
    "png",
    "svgz",
    "webp",
    "woff",
    "woff2",
    "zip",
]
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
    }
}

# Work that goes on by itself
REDIS_URL = env.text("REDIS_URL")
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_TASK_DEFAULT_QUEUE = "trenail"
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = "UTC"
if REDIS_URL:
    CELERY_BROKER_URL = REDIS_URL
    CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, object] = {
        "socket_connect_timeout": 1,
        "max_retries": 0,
        "visibility_timeout": 3600,
    }
else:
    CELERY_BROKER_URL = "filesystem://localhost//"
    CELERY_BROKER_TRANSPORT = "shop.folder_transport:Transport"
    _BROKER = env.folder("TRENAIL_BROKER", DATA / "broker")
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(_BROKER),
        "data_folder_out": str(_BROKER),
        "control_folder": str(_BROKER / "control"),
        "polling_interval": 0.1,
    }
JOB_LEASE_SECONDS = env.number("TRENAIL_JOB_LEASE", 30)
SWEEP_SECONDS = env.number("TRENAIL_SWEEP", 10)
CELERY_BEAT_SCHEDULE = {
    "sweep": {
        "task": "shop.tasks.sweep",
        "schedule": float(SWEEP_SECONDS),
        "options": {"expires": float(SWEEP_SECONDS)},
    },
    "tidy": {"task": "shop.tasks.tidy", "schedule": crontab(hour=2, minute=40)},
    "expire": {"task": "costing.tasks.expire", "schedule": crontab(minute=5)},
    "learn": {"task": "costing.tasks.learn", "schedule": crontab(hour=3, minute=10)},
}
PLANNING_SECONDS = env.number("TRENAIL_PLANNING_SECONDS", 10)
REPLAN_SECONDS = env.number("TRENAIL_REPLAN_SECONDS", 300)
COMPILED_SEARCH = env.flag("TRENAIL_COMPILED_SEARCH", default=True)
os.environ.setdefault("NUMBA_CACHE_DIR", str(DATA / "compiled"))

# The programmers' door
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "shop.api.authentication.WorkshopToken",
        "shop.api.authentication.WorkshopSession",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["orders.api.access.Declared"],
    "DEFAULT_PAGINATION_CLASS": "orders.api.pagination.Pages",
    "DEFAULT_FILTER_BACKENDS": [
        "django_filters.rest_framework.DjangoFilterBackend",
        "orders.api.ordering.Ordering",
    ],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["orders.api.parsers.KeepableJSON"],
    "DEFAULT_SCHEMA_CLASS": "orders.api.schema.WorkshopSchema",
    "DEFAULT_THROTTLE_RATES": {"sign-in": "10/minute"},
    "EXCEPTION_HANDLER": "orders.api.problems.problem_response",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Trenail",
    "DESCRIPTION": "Work orders and job costing for a bench-joinery and furniture workshop.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["orders.api.access.Declared"],
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_NAME_OVERRIDES": {
        "StageEnum": [(stage.value, stage.value) for stage in Stage],
        "DurabilityClassEnum": "orders.core.exposure.DurabilityClass",
    },
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
