"""A server of its own, with every program that it needs, each of which can be killed and started again."""

import os
import shutil
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from urllib.request import urlopen

from tests.config.installation import ROOT, children, environment, free_port

POSTGRES = Path(shutil.which("postgres") or next(Path("/usr/lib/postgresql").glob("*/bin/postgres"), "")).resolve()
FAKETIME = next(Path("/usr/lib").glob("*/faketime/libfaketimeMT.so.1"), None)
DISK = "500m"
TIMED = ("web", "worker", "clock")
LONGEST_START = 120.0


class Town:
    """Database, broker, web server, worker and clock, all of one folder; the database's disk is small where root is."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.disk = folder / "disk"
        self.ports = {name: free_port() for name in ("database", "broker", "web")}
        self.programs: dict[str, subprocess.Popen[bytes]] = {}
        self.has_small_disk = os.geteuid() == 0
        self._offset = 0
        self.env = self._environment()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.ports['web']}"

    def build(self) -> None:
        """Make the disk and the database, and start all programs."""
        self.disk.mkdir()
        if self.has_small_disk:
            subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={DISK}", "tmpfs", self.disk], check=True)
            for folder in (self.folder, self.disk):
                shutil.chown(folder, "postgres")
        data = str(self.disk / "data")
        made = [str(POSTGRES.with_name("initdb")), "-D", data, "-U", "postgres", "-A", "trust"]
        subprocess.run(made, check=True, stdout=subprocess.DEVNULL, user=self._database_user(), cwd="/")
        self.start("database")
        psql = [str(POSTGRES.with_name("psql")), "-h", "127.0.0.1", "-p", str(self.ports["database"]), "-U", "postgres"]
        subprocess.run([*psql, "-c", "CREATE DATABASE notchbook"], check=True, stdout=subprocess.DEVNULL)
        self.start("broker")
        subprocess.run([sys.executable, "manage.py", "upgrade"], cwd=ROOT, env=self.env, check=True)
        for name in ("web", "worker", "clock"):
            self.start(name)
        self.wait_ready()

    def start(self, name: str) -> None:
        """Start a program that does not run, and wait for the database to answer."""
        with (self.folder / f"{name}.log").open("ab") as log:
            self.programs[name] = subprocess.Popen(
                self._command(name), cwd="/" if name == "database" else ROOT, env=self._env_of(name), stdout=log,
                stderr=log, user=self._database_user() if name == "database" else None,
            )  # fmt: skip
        if name == "database":
            self._wait_for_database()

    def kill(self, name: str, *, with_children: bool = True) -> None:
        """End a program, and the processes that it has made, as kill -9 does."""
        program = self.programs[name]
        for process in [*(children(program.pid) if with_children else []), program.pid]:
            with suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        program.wait()

    def kill_child(self, name: str) -> bool:
        """End one process that a program has made; whether there was one."""
        made = children(self.programs[name].pid)
        for process in made[-1:]:
            with suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        return bool(made)

    def restart(self, name: str) -> None:
        """Start a program again where it has ended."""
        if self.programs[name].poll() is not None:
            self.start(name)

    def set_clock(self, seconds: int) -> None:
        """Start the programs that ask the time anew with a clock so many seconds beside the true one."""
        self._offset = seconds
        for name in TIMED:
            self.kill(name)
            self.start(name)

    def wait_ready(self) -> None:
        """Return once the site answers that it is ready."""
        until = time.monotonic() + LONGEST_START
        while time.monotonic() < until:
            with suppress(OSError), urlopen(f"{self.address}/health/ready/", timeout=10) as answer:  # noqa: S310
                if answer.status == 200:
                    return
            time.sleep(0.3)
        raise SystemExit(f"The site is not ready; see {self.folder}")

    def run(self, code: str) -> str:
        """Run code with Django set up, and return what it prints."""
        told = subprocess.run(
            [sys.executable, "-c", f"import django; django.setup()\n{code}"], cwd=ROOT, env=self.env,
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        if told.returncode:
            raise SystemExit(told.stderr[-3_000:])
        return told.stdout

    def tear_down(self) -> None:
        """End everything that was started here."""
        for name in reversed(list(self.programs)):
            if self.programs[name].poll() is None:
                self.kill(name)
        time.sleep(1)
        if self.has_small_disk:
            subprocess.run(["umount", "-l", self.disk], check=False)

    def _database_user(self) -> str | None:
        return "postgres" if os.geteuid() == 0 else None

    def _wait_for_database(self) -> None:
        asked = [str(POSTGRES.with_name("pg_isready")), "-h", "127.0.0.1", "-p", str(self.ports["database"])]
        until = time.monotonic() + LONGEST_START
        while subprocess.run(asked, check=False, stdout=subprocess.DEVNULL).returncode:
            if time.monotonic() > until:
                raise SystemExit(f"The database does not answer; see {self.folder}")
            if self.programs["database"].poll() is not None:
                # What the dead one left holds the lock until its last process has gone.
                time.sleep(0.5)
                self.start("database")
                return
            time.sleep(0.2)

    def _command(self, name: str) -> list[str]:
        port = str(self.ports.get(name, ""))
        celery = [sys.executable, "-m", "celery", "--quiet", "-A", "herd.config.celery"]
        return {
            "database": [str(POSTGRES), "-D", str(self.disk / "data"), "-p", port, "-k", str(self.disk),
                         "-c", "listen_addresses=127.0.0.1", "-c", "max_wal_size=64MB", "-c", "min_wal_size=32MB"],
            "broker": ["redis-server", "--port", port, "--dir", str(self.folder), "--appendonly", "yes",
                       "--appendfsync", "always", "--save", ""],
            "web": [sys.executable, "-m", "gunicorn", "-c", "python:herd.config.deploy.webserver", "herd.config.wsgi"],
            "worker": [*celery, "worker", "--concurrency", "1", "--without-gossip", "--without-mingle"],
            "clock": [*celery, "beat", "--schedule", str(self.folder / "clock")],
        }[name]  # fmt: skip

    def _env_of(self, name: str) -> dict[str, str]:
        if name not in TIMED or not self._offset:
            return self.env
        return {**self.env, "LD_PRELOAD": str(FAKETIME), "FAKETIME": f"{self._offset:+d}"}

    def _environment(self) -> dict[str, str]:
        ours = {
            "DATABASE_URL": f"postgresql://postgres@127.0.0.1:{self.ports['database']}/notchbook",
            "BROKER_URL": f"redis://127.0.0.1:{self.ports['broker']}/0",
            "BIND": f"127.0.0.1:{self.ports['web']}",
            "API_RATE": "100000/min",
            "LOG": "INFO",
            "LOG_FORM": "json",
        }
        given = {f"NOTCHBOOK_{name}": value for name, value in ours.items()}
        return {**environment(self.folder / "var", **given), "DJANGO_SETTINGS_MODULE": "herd.config.settings"}
