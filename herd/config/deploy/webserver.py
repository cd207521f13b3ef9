"""Settings of gunicorn: `gunicorn -c python:herd.config.deploy.webserver herd.config.wsgi`."""

import os
import shutil
from pathlib import Path
from typing import Any

from django.urls import get_resolver

THREADS = 8

# Names that gunicorn reads. A thread waits for the database most of its time, so two processes fill two cores.
bind = os.environ.get("NOTCHBOOK_BIND", "127.0.0.1:8000")
workers = int(os.environ.get("NOTCHBOOK_PROCESSES", "2"))
worker_class = "gthread"
threads = THREADS
# The longest that is answered in one go is the archive of a large herd; threads beat on meanwhile.
timeout = 120
graceful_timeout = 25
keepalive = 5
# A process is renewed now and then, so that memory that was once needed for a large file comes back.
max_requests = 20_000
max_requests_jitter = 2_000
worker_tmp_dir = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108
# The proxy on the same machine is believed about the visitor's address; another one is named.
forwarded_allow_ips = os.environ.get("NOTCHBOOK_PROXY", "127.0.0.1")
limit_request_line = 8190
# The installation writes its own line for each request.
accesslog = None
errorlog = "-"
# It is told by signals; one way in less.
control_socket_disable = True

os.environ.setdefault("NOTCHBOOK_POOL", str(THREADS))
os.environ.setdefault(
    "PROMETHEUS_MULTIPROC_DIR", str(Path(os.environ.get("NOTCHBOOK_VAR") or "var").resolve() / "metrics")
)


def on_starting(server: Any) -> None:
    """Begin to count anew, in a folder of the processes to come."""
    folder = Path(os.environ["PROMETHEUS_MULTIPROC_DIR"])
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)


def post_worker_init(worker: Any) -> None:
    """Read every address before the first visitor comes, who would wait for it."""
    get_resolver().url_patterns  # noqa: B018
