"""`manage.py up` serves with a worker beside it, and leaves nothing behind."""

import os
import shutil
import signal
import socket
import subprocess
import sys

import pytest

from tests.config.installation import (
    ROOT,
    children,
    end,
    environment,
    fetch,
    free_port,
    is_alive,
    serving,
    wait_until,
)


def test_up_serves_replaces_a_dead_worker_and_ends_cleanly(tmp_path):
    port, log = free_port(), tmp_path / "log"
    with serving(tmp_path / "var", log, "--port", str(port)) as up:
        wait_until(lambda: fetch(f"http://127.0.0.1:{port}/health/") == (200, "ok\n"), "the site answers")
        assert fetch(f"http://127.0.0.1:{port}/health/ready/") == (200, "ready\n")
        wait_until(lambda: children(up.pid), "a worker runs")
        (first,) = children(up.pid)
        os.kill(first, signal.SIGKILL)
        wait_until(lambda: [child for child in children(up.pid) if child != first], "another worker runs")
        (second,) = children(up.pid)
        assert end(up, signal.SIGTERM) == 0
        assert not is_alive(second)
    said = log.read_text()
    assert f"Notchbook is at http://127.0.0.1:{port}/" in said
    assert "The worker ended by itself (exit code -9)" in said
    assert "There is no outfit yet" in said
    assert "Traceback" not in said


def test_no_worker_is_left_behind_when_up_is_killed(tmp_path, upgraded):
    log = tmp_path / "log"
    shutil.copytree(upgraded, tmp_path / "var")
    with socket.socket() as other, serving_beside(other, tmp_path, log) as up:
        wait_until(lambda: "Notchbook is at" in log.read_text(), "the address is said")
        wait_until(lambda: children(up.pid), "a worker runs")
        (worker,) = children(up.pid)
        assert end(up, signal.SIGKILL) == -signal.SIGKILL
        wait_until(lambda: not is_alive(worker), "the worker ends")
    taken = other_port(log)
    assert f"Port {taken} is taken by another program; using " in log.read_text()


def test_a_database_that_does_not_answer_is_told_in_a_sentence(tmp_path):
    answer = run_up(tmp_path, NOTCHBOOK_DATABASE_URL="postgresql://nobody@127.0.0.1:1/none")
    assert answer.returncode == 1
    assert answer.stderr.startswith("CommandError: The database does not answer")
    assert "Traceback" not in answer.stderr


def test_with_a_broker_named_workers_are_left_to_others(tmp_path, upgraded):
    log = tmp_path / "log"
    shutil.copytree(upgraded, tmp_path / "var")
    with serving(tmp_path / "var", log, "--port", "0", NOTCHBOOK_BROKER_URL="redis://127.0.0.1:1/0") as up:
        wait_until(lambda: "Notchbook is at" in log.read_text(), "the address is said")
        assert children(up.pid) == []
        assert end(up, signal.SIGTERM) == 0
    assert "workers are run separately" in log.read_text()


@pytest.mark.parametrize("port", ["-1", "65536", "eighty"])
def test_a_port_that_is_none_is_refused(tmp_path, port):
    answer = run_up(tmp_path, f"--port={port}")
    assert answer.returncode == 2
    assert "is not a port; write a number from 0 to 65535." in answer.stderr


def run_up(tmp_path, *arguments, **more):
    """Run `up` to its end, where it is to refuse."""
    return subprocess.run(
        [sys.executable, "manage.py", "up", "--no-browser", *arguments],
        cwd=ROOT, env=environment(tmp_path, **more), capture_output=True, text=True, check=False, timeout=30,
    )  # fmt: skip


def serving_beside(other, tmp_path, log):
    """Serve with the port asked for taken by another socket."""
    other.bind(("127.0.0.1", 0))
    other.listen()
    return serving(tmp_path / "var", log, "--port", str(other.getsockname()[1]))


def other_port(log):
    """The port that was said to be taken."""
    return log.read_text().partition("Port ")[2].partition(" ")[0]
