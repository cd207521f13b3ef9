"""A live server for benchmarks: the one of `manage.py up`, or gunicorn where it is installed; scratch databases."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib.util import find_spec
from pathlib import Path
from urllib.request import urlopen

ROOT = Path(__file__).resolve().parent.parent.parent
POSTGRES = "postgresql://postgres@127.0.0.1:5432/postgres"
LONGEST_START = 180.0


def servers() -> list[str]:
    """The servers there are here."""
    return ["up", "gunicorn"] if find_spec("gunicorn") else ["up"]


def _command(server: str, port: int) -> list[str]:
    if server == "up":
        return [sys.executable, "manage.py", "up", "--no-browser", "--port", str(port)]
    more = ["--workers", "2", "--threads", "4", "--bind", f"127.0.0.1:{port}", "--log-level", "error"]
    return [sys.executable, "-m", "gunicorn", "herd.config.wsgi", *more]


@contextmanager
def served(server: str, log: Path) -> Iterator[str]:
    """Serve the installation of this environment in processes of their own; yields the address."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    with log.open("ab") as out:
        process = subprocess.Popen(_command(server, port), cwd=ROOT, stdout=out, stderr=out, env=os.environ)
    try:
        _wait_for(address, process)
        yield address
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            process.kill()


def _wait_for(address: str, process: "subprocess.Popen[bytes]") -> None:
    until = time.monotonic() + LONGEST_START
    while time.monotonic() < until and process.poll() is None:
        with suppress(OSError), urlopen(f"{address}/health/ready/") as answer:  # noqa: S310
            if answer.status == 200:
                return
        time.sleep(0.2)
    raise SystemExit(f"The server did not start at {address}.")


@contextmanager
def scratch_database(url: str = POSTGRES) -> Iterator[str]:
    """A new database on this PostgreSQL, dropped at the end; yields its address, empty where none answers."""
    import psycopg  # noqa: PLC0415 (benchmarks on SQLite do without)

    name = f"notchbook_bench_{os.getpid()}"
    try:
        with psycopg.connect(url, autocommit=True, connect_timeout=3) as connection:
            connection.execute(f"CREATE DATABASE {name}".encode())
    except psycopg.OperationalError:
        yield ""
        return
    try:
        yield re.sub(r"/[^/]*$", f"/{name}", url)
    finally:
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())


def on_both_engines(module: str, *given: str) -> int:
    """Run a bench on SQLite, then on PostgreSQL where one answers, each in its own process; the worse exit code."""
    codes = []
    with scratch_database(os.environ.get("NOTCHBOOK_BENCH_POSTGRES", POSTGRES)) as url:
        for name, at in (("SQLite", ""), ("PostgreSQL", url)):
            if name == "PostgreSQL" and not at:
                print("No PostgreSQL answers: SQLite only.")  # noqa: T201
                continue
            print(f"On {name}:", flush=True)  # noqa: T201
            around = {**os.environ, "NOTCHBOOK_BENCH_DATABASE_URL": at}
            command = [sys.executable, "-m", module, *given]
            codes.append(subprocess.run(command, cwd=ROOT, env=around, check=False).returncode)
    return max(codes)
