"""The worker process that `up` and `demo` start; it ends when the process that started it is gone."""

import os
import signal
import threading
import time
import warnings

import django
from django.conf import settings

from herd.config.celery import app
from herd.config.locks import file_lock

GRACE_SECONDS = 20
ARGUMENTS = [
    "--quiet", "worker", "--pool", "solo", "--concurrency", "1", "--loglevel", "WARNING",
    "--without-gossip", "--without-mingle", "--without-heartbeat",
]  # fmt: skip


def end_with_parent() -> None:
    """Wait until the pipe on standard input closes, then end: first asking, after 20 s for good.

    The pipe closes however the parent ends, even when it is killed, so no worker is left behind. What a
    worker leaves half done is taken up again by the next one.
    """
    while os.read(0, 1024):
        pass
    os.kill(os.getpid(), signal.SIGTERM)
    time.sleep(GRACE_SECONDS)
    os._exit(1)


def main() -> None:
    """Work until told to end; over the file transport one worker at a time, the next one waits its turn."""
    threading.Thread(target=end_with_parent, daemon=True).start()
    warnings.filterwarnings("ignore", message="(?s).*superuser privileges")
    if settings.CELERY_BROKER_URL.startswith("filesystem"):
        with file_lock(settings.VAR_DIR / "worker.lock"):
            # Alone by the lock: whatever a day is still marked as being worked on, nobody is at it.
            django.setup()
            app.loader.import_default_modules()
            app.tasks["intake.take_over"].apply()
            app.worker_main(ARGUMENTS)
    else:
        app.worker_main(ARGUMENTS)


if __name__ == "__main__":
    main()
