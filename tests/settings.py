"""Settings of the tests: the installation's own, in a folder that goes when the tests end."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

_FOLDER = Path(tempfile.mkdtemp(prefix="notchbook-tests-"))
atexit.register(shutil.rmtree, _FOLDER, ignore_errors=True)

# What the shell says about a real installation must not reach the tests, nor the processes that they start.
for _name in ("PRODUCTION", "DEBUG", "HOSTS", "SECRET", "PROXY", "REPLICA_URL", "METRICS_TOKEN", "POOL"):
    os.environ.pop(f"NOTCHBOOK_{_name}", None)
os.environ["NOTCHBOOK_VAR"] = str(_FOLDER)

from herd.config.settings import *  # noqa: E402, F403
from herd.config.settings import ALLOWED_HOSTS, DATABASES, STATIC_ROOT, STORAGES  # noqa: E402

DEBUG = False
ALLOWED_HOSTS = [*ALLOWED_HOSTS, "testserver"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# A database in a file, since the threads of a live server each need a connection of their own.
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["TEST"] = {"NAME": str(_FOLDER / "tests.sqlite3")}
    DATABASES["default"]["OPTIONS"]["init_command"] = "PRAGMA journal_mode=WAL;PRAGMA synchronous=OFF;"
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 0
    DATABASES["default"]["OPTIONS"].pop("pool", None)

# The tests empty it, which must touch nobody's Redis.
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

# Marks of sessions are writes that would stand in every test's count of queries; tests/security sets it again.
SESSION_IDLE_SECONDS = 0

CELERY_TASK_ALWAYS_EAGER = True
CELERY_TASK_EAGER_PROPAGATES = True

STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
STATIC_ROOT.mkdir(exist_ok=True)
WHITENOISE_USE_FINDERS = True
# Else every client of a test looks through all static files first.
WHITENOISE_AUTOREFRESH = True
