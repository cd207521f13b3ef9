"""All settings of the installation; at home none of the environment variables is needed."""

from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

from herd.config.environment import (
    REDIS,
    read_cache,
    read_count,
    read_database,
    read_flag,
    read_list,
    read_secret,
    read_text,
    read_word,
)
from herd.config.telling import read_logging

BASE_DIR = Path(__file__).resolve().parent.parent.parent
VAR_DIR = Path(read_text("NOTCHBOOK_VAR", str(BASE_DIR / "var"))).resolve()
VAR_DIR.mkdir(parents=True, exist_ok=True)

PRODUCTION = read_flag("NOTCHBOOK_PRODUCTION", default=False)
DEBUG = read_flag("NOTCHBOOK_DEBUG", default=False)
ALLOWED_HOSTS = read_list("NOTCHBOOK_HOSTS", ["localhost", "127.0.0.1", "[::1]"])
SECRET_KEY = read_secret(VAR_DIR / "secret")

if PRODUCTION and DEBUG:
    raise ImproperlyConfigured("NOTCHBOOK_DEBUG must be off where NOTCHBOOK_PRODUCTION is on.")
if PRODUCTION and "*" in ALLOWED_HOSTS:
    raise ImproperlyConfigured("NOTCHBOOK_HOSTS must name the hosts in production; * is refused.")
if PRODUCTION and not read_text("NOTCHBOOK_SECRET", ""):
    raise ImproperlyConfigured("NOTCHBOOK_SECRET must be set in production.")
if PRODUCTION and len(SECRET_KEY) < 40:
    raise ImproperlyConfigured("NOTCHBOOK_SECRET must have 40 characters or more.")

INSTALLED_APPS = [
    "herd.config.apps.OutfitAdminConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "herd.accounts",
    "herd.ledger",
    "herd.registry",
    "herd.intake",
    "herd.exchange",
    "herd.sync",
    "herd.archive",
    "herd.office",
    "herd.chute",
    "herd.config",
    "api",
    # Below our rooms, since it has a command called `export` as well and the first room to name one has it.
    "import_export",
]

MIDDLEWARE = [
    "herd.config.watching.Watched",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "herd.config.headers.ContentSecurityPolicy",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "herd.config.sessions.EndsWhenIdle",
    "herd.config.bodies.BoundedBodies",
    "herd.office.access.OutfitOfRequest",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "herd.config.urls"
WSGI_APPLICATION = "herd.config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "herd.office.context.office",
            ],
        },
    },
]

DATABASES = {"default": read_database("NOTCHBOOK_DATABASE_URL", VAR_DIR / "notchbook.sqlite3")}
# A copy that PostgreSQL keeps in step (a hot standby) may take the reports off the database; see herd.config.replicas.
if read_text("NOTCHBOOK_REPLICA_URL", ""):
    DATABASES["replica"] = read_database("NOTCHBOOK_REPLICA_URL", VAR_DIR / "unused")
    DATABASE_ROUTERS = ["herd.config.replicas.ReportsFromCopy"]
    _knows_outfit = MIDDLEWARE.index("herd.office.access.OutfitOfRequest")
    MIDDLEWARE.insert(_knows_outfit + 1, "herd.config.replicas.ReportsReadCopy")
# Failed sign-ins and calls of the API are counted in the cache. One process keeps it to itself; where a Redis is
# named, as it is for several processes, all count together, in keys of their own beside the broker's.
CACHES = {"default": read_cache("NOTCHBOOK_CACHE_URL", read_text("NOTCHBOOK_BROKER_URL", ""))}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "accounts.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "herd.accounts.ownwords.OwnWords"},
]
LOGIN_URL = "office:sign-in"
LOGIN_REDIRECT_URL = "office:home"
LOGOUT_REDIRECT_URL = "office:sign-in"

LANGUAGE_CODE = "en-us"
TIME_ZONE = "UTC"
USE_I18N = False
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = VAR_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = DEBUG

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["api.access.DeviceToken", "api.access.OfficeSession"],
    "DEFAULT_PERMISSION_CLASSES": ["api.access.HasRight"],
    "DEFAULT_PAGINATION_CLASS": "api.paging.ByKey",
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.PlainJSON"],
    "DEFAULT_THROTTLE_CLASSES": ["api.throttles.PerCaller"],
    "DEFAULT_THROTTLE_RATES": {"caller": read_text("NOTCHBOOK_API_RATE", "1200/min"), "enrolment": "20/min"},
    # The address is the connection's own, or what the proxy has said of it; what a caller says counts for nothing.
    "NUM_PROXIES": 0,
    "DEFAULT_SCHEMA_CLASS": "api.openapi.Told",
    "EXCEPTION_HANDLER": "api.problems.answer_problem",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Notchbook",
    "DESCRIPTION": "The herd record of one outfit, for its devices and programs.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "COMPONENT_SPLIT_REQUEST": True,
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "api.openapi.complete",
    ],
    "ENUM_NAME_OVERRIDES": {
        "ClassEnum": "herd.registry.models.animal.CLASS_CHOICES",
        "PrecisionEnum": "herd.registry.models.animal.PRECISION_CHOICES",
        "TagKindEnum": "herd.registry.models.TagKind",
        "EventKindEnum": "api.serializers.events.EVENT_KIND_CHOICES",
        "GroupKindEnum": "herd.registry.models.GroupKind",
        "FindingKindEnum": "herd.intake.models.FindingKind",
        "ChangesetKindEnum": "herd.ledger.models.ChangesetKind",
    },
}

# Field files are bounded here once; the reader's own limits lie beside it in herd.intake.reading.
FIELD_FILE_MAX_BYTES = 200 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2_000
# All files of a day in one request; the proxy has the same bound.
REQUEST_MAX_BYTES = 1024 * 1024 * 1024

# Backups belong on another disk than the record; without a word they lie beside it. At home the worker makes one a
# day and keeps so many, 0 for none; where a broker is named, whoever runs it says whether it should.
BACKUP_DIR = Path(read_text("NOTCHBOOK_BACKUPS", str(VAR_DIR / "backups"))).resolve()
BACKUPS_KEPT = read_count("NOTCHBOOK_BACKUPS_KEPT", 0 if read_text("NOTCHBOOK_BROKER_URL", "") else 7)

# Whoever brings this word reads the figures at /health/metrics/; without one there is no such page.
METRICS_TOKEN = read_text("NOTCHBOOK_METRICS_TOKEN", "")

# A working day without a touch ends a session, a week ends it in any case.
SESSION_IDLE_SECONDS = 60 * read_count("NOTCHBOOK_IDLE_MINUTES", 12 * 60)
SESSION_COOKIE_AGE = 7 * 24 * 3_600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = PRODUCTION
if PRODUCTION:
    # A name of this kind is taken by browsers only over TLS and from this very host (RFC 6265bis, section 4.1.3).
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
SECURE_SSL_REDIRECT = PRODUCTION
SECURE_REDIRECT_EXEMPT = [r"^health/"]
SECURE_HSTS_SECONDS = 31_536_000 if PRODUCTION else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = PRODUCTION
TRUSTED_PROXY = read_text("NOTCHBOOK_PROXY", "127.0.0.1") if PRODUCTION else ""
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if PRODUCTION else None
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"

# Without a broker named, work travels through files under var/ to the worker that `up` and `demo` start.
BROKER_DIR = VAR_DIR / "broker"
CELERY_BROKER_URL = read_text("NOTCHBOOK_BROKER_URL", "filesystem://localhost/")
CELERY_BROKER_TRANSPORT_OPTIONS = (
    {
        "data_folder_in": str(BROKER_DIR / "waiting"),
        "data_folder_out": str(BROKER_DIR / "waiting"),
        "processed_folder": str(BROKER_DIR / "done"),
        "control_folder": str(BROKER_DIR / "control"),
        "store_processed": False,
        "polling_interval": 0.25,
    }
    if CELERY_BROKER_URL.startswith("filesystem")
    # Longer than any task, so that Redis hands none out a second time while it is worked on.
    else {"visibility_timeout": 4 * 3_600} if CELERY_BROKER_URL.startswith(REDIS) else {}
)
# Installations that share a broker each name a queue of their own.
CELERY_TASK_DEFAULT_QUEUE = read_text("NOTCHBOOK_QUEUE", "celery")
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# A task that takes longer is told to end, and a minute later its process is ended; where one process is the worker
# and does the work too, as at home, there is nobody to tell it.
TASK_SECONDS = read_count("NOTCHBOOK_TASK_SECONDS", 7_200)
CELERY_TASK_SOFT_TIME_LIMIT = TASK_SECONDS or None
CELERY_TASK_TIME_LIMIT = TASK_SECONDS + 60 if TASK_SECONDS else None
# In MiB of addresses, 0 for no bound: a file that swells in memory ends its task and not the machine.
TASK_MEMORY = read_count("NOTCHBOOK_TASK_MEMORY", 4_096)
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False

LOGGING = read_logging(
    read_word("NOTCHBOOK_LOG_FORM", {"plain", "json"}, "plain"),
    read_text("NOTCHBOOK_LOG", "INFO" if PRODUCTION else "WARNING").upper()
)
