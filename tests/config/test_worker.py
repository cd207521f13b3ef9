"""The worker takes what was sent, over the broker that this run of the tests is about."""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import celery

from tests.config.installation import LONGEST_WAIT, ROOT, environment, python, wait_until

SEND = "from herd.config.celery import app; app.send_task('celery.accumulate', args=[1])"
COUNT = (
    "from herd.config.celery import app\n"
    "with app.connection_for_read() as broker:\n"
    "    print(broker.default_channel.queue_declare('celery').message_count)\n"
)


def waiting(var, **more):
    answer = python(var, COUNT, **more)
    assert answer.returncode == 0, answer.stderr
    return int(answer.stdout)


def test_every_thread_sends_its_tasks_through_the_app_of_the_installation():
    with ThreadPoolExecutor(1) as thread:
        assert thread.submit(lambda: celery.current_app.main).result() == "notchbook"


def test_a_task_waits_until_a_worker_comes_and_the_worker_ends_with_its_pipe(tmp_path):
    broker = os.environ.get("NOTCHBOOK_BROKER_URL")
    more = {"NOTCHBOOK_BROKER_URL": broker} if broker else {}
    for name in ("waiting", "done", "control"):
        (tmp_path / "broker" / name).mkdir(parents=True)
    sent = python(tmp_path, SEND, **more)
    assert sent.returncode == 0, sent.stderr
    assert waiting(tmp_path, **more) >= 1
    worker = subprocess.Popen(
        [sys.executable, "-m", "herd.config.worker"],
        cwd=ROOT, env=environment(tmp_path, **more), stdin=subprocess.PIPE, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        wait_until(lambda: waiting(tmp_path, **more) == 0, "the task is taken")
        worker.stdin.close()
        assert worker.wait(LONGEST_WAIT) == 0
    finally:
        worker.kill()
        worker.wait()
