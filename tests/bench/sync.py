"""Times what devices ask of a live server over loopback, beside a general-purpose replication server in the same run.

    .venv/bin/python -m tests.bench.sync [head]

Ours is served by the server of `manage.py up`, and by gunicorn where it is installed, on SQLite and on PostgreSQL where
one answers (NOTCHBOOK_BENCH_POSTGRES); the device is herd.client with its SQLite file. The other side is PouchDB's
server and its client, both with LevelDB files, installed by npm into a folder of the system's temporary files. Both
sides move the same cards and weighings; the medians of three rounds are printed in milliseconds, with their ratio.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

from tests.bench.serving import POSTGRES, ROOT, scratch_database

PEER = {"pouchdb": "9.0.0", "express-pouchdb": "4.2.0", "express": "4.22.3"}
PEER_FOLDER = Path(tempfile.gettempdir()) / f"notchbook-bench-peer-{PEER['pouchdb']}"
# What each step is called, and the most of the other side's time that it may take.
STEPS = {
    "copy": ("first copy", 0.3),
    "push": ("1,000 weighings pushed", 0.4),
    "pull": ("100 changed head pulled", 0.3),
    "pen": ("one pen of 200 copied", 0.15),
    "push again": ("the same 1,000 pushed again", None),
    "own back": ("its own 1,000 come back", None),
    "nothing": ("nothing new pulled", None),
}


def main(head: int) -> None:
    """Walk ours on each database, then the other side, and print the table."""
    with tempfile.TemporaryDirectory(prefix="notchbook-bench-") as name:
        folder = Path(name)
        documents = folder / "documents.json"
        found = {"SQLite": ours(documents, head, "")}
        with scratch_database(os.environ.get("NOTCHBOOK_BENCH_POSTGRES", POSTGRES)) as url:
            if url:
                found["PostgreSQL"] = ours(documents, head, url)
            else:
                print("No PostgreSQL answers: SQLite only.")  # noqa: T201
        show(head, found, theirs(documents, folder))


def ours(documents: Path, head: int, url: str) -> dict[str, dict[str, float]]:
    """Milliseconds of each step by server, on one database, in a process of its own."""
    given = {**os.environ, "NOTCHBOOK_BENCH_DATABASE_URL": url}
    command = [sys.executable, "-m", "tests.bench.syncwalk", str(documents), str(head)]
    told = subprocess.run(command, cwd=ROOT, env=given, check=True, stdout=subprocess.PIPE).stdout
    times: dict[str, dict[str, float]] = json.loads(told.splitlines()[-1])
    return times


def theirs(documents: Path, folder: Path) -> dict[str, float]:
    """Milliseconds of each step with PouchDB: `usual` in its usual settings, `large` with batches of 1,000."""
    install_peer()
    script = ROOT / "tests" / "bench" / "peer" / "client.js"
    environment = {**os.environ, "NODE_PATH": str(PEER_FOLDER / "node_modules")}
    with peer_server(folder, environment) as address:
        local = folder / "local"
        local.mkdir()
        command = ["node", str(script), address, f"{local}/", str(documents)]
        told = subprocess.run(command, cwd=folder, env=environment, check=True, stdout=subprocess.PIPE).stdout
    return {name: median(some) for name, some in json.loads(told.splitlines()[-1]).items()}


def install_peer() -> None:
    """Install the other side outside of the repository, once; its install scripts do not run."""
    if all((PEER_FOLDER / "node_modules" / name / "package.json").exists() for name in PEER):
        return
    PEER_FOLDER.mkdir(exist_ok=True)
    (PEER_FOLDER / "package.json").write_text(json.dumps({"name": "peer", "private": True, "dependencies": PEER}))
    command = ["npm", "install", "--ignore-scripts", "--no-audit", "--no-fund"]
    subprocess.run(command, cwd=PEER_FOLDER, check=True, stdout=subprocess.DEVNULL)


@contextmanager
def peer_server(folder: Path, environment: dict[str, str]) -> Iterator[str]:
    """Serve the other side; yields its address."""
    script = ROOT / "tests" / "bench" / "peer" / "server.js"
    remote = folder / "remote"
    remote.mkdir()
    command = ["node", str(script), f"{remote}/"]
    process = subprocess.Popen(command, cwd=folder, env=environment, stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout
        yield f"http://127.0.0.1:{process.stdout.readline().strip()}/"
    finally:
        process.kill()
        process.wait()


def show(head: int, found: dict[str, dict[str, dict[str, float]]], peer: dict[str, float]) -> None:
    """Print the table: milliseconds, and the ratio to the other side's usual settings."""
    columns = [(database, server) for database, servers in found.items() for server in servers]
    titles = "".join(f"{f'{database}, {server}':>24}" for database, server in columns)
    print(f"{f'{head:,} head, milliseconds':<30}{'peer':>10}{'large':>10}{titles}{'aim':>8}")  # noqa: T201
    for name, (label, aim) in STEPS.items():
        usual, large = peer.get(f"usual {name}"), peer.get(f"large {name}")
        cells = "".join(cell(found[database][server][name], usual) for database, server in columns)
        print(f"{label:<30}{number(usual)}{number(large)}{cells}{aim or '':>8}")  # noqa: T201


def number(value: float | None) -> str:
    return f"{value:10,.0f}" if value is not None else " " * 10


def cell(value: float, usual: Any) -> str:
    ratio = f"({value / usual:.2f})" if usual else ""
    return f"{value:15,.0f} {ratio:>8}"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
