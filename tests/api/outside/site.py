"""A server process of its own with the seeded outfit, and generated calls against it."""

import json
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.config.installation import ROOT, environment, fetch, free_port, serving

SEED = (
    "import django, json; django.setup(); "
    "from django.core.management import call_command; call_command('migrate', verbosity=0); "
    "from tests.api.outside.seed import seed; print(json.dumps(seed()))"
)
# A machine with much else to do takes its time.
LONGEST = 300.0
CONFIG = Path(__file__).with_name("schemathesis.toml")
# Walks along the links for each example of a call.
WALKS = 10


@dataclass(frozen=True, slots=True)
class Attack:
    """How the calls ended: 0 where nothing was found, and all that was said."""

    status: int
    said: str


@dataclass(frozen=True, slots=True)
class Site:
    """Where the server answers, the tokens of both outfits, and ids of the first one's things."""

    url: str
    tokens: dict[str, str]
    ids: dict[str, str]
    log: Path

    @property
    def document(self) -> str:
        """Where the OpenAPI document is."""
        return f"{self.url}/api/v1/openapi.json"


@contextmanager
def site(folder: Path, **more: str) -> Iterator[Site]:
    """Seed an installation in a folder and serve it for the block, with its worker, as `manage.py up` does."""
    var, port, log = folder / "var", free_port(), folder / "log"
    given = {"NOTCHBOOK_API_RATE": "1000000/min", "DJANGO_SETTINGS_MODULE": "herd.config.settings", **more}
    seeded = subprocess.run(
        [sys.executable, "-c", SEED], cwd=ROOT, env=environment(var, **given), capture_output=True, text=True,
        check=False, timeout=LONGEST,
    )  # fmt: skip
    assert seeded.returncode == 0, seeded.stderr
    told = json.loads(seeded.stdout.splitlines()[-1])
    with serving(var, log, "--port", str(port), **given):
        url = f"http://127.0.0.1:{port}"
        _wait(url, log)
        yield Site(url, told["tokens"], told["ids"], log)


def _wait(url: str, log: Path) -> None:
    """Return when the site answers; a busy machine takes its time."""
    end = time.monotonic() + LONGEST
    while fetch(f"{url}/health/")[0] != 200:
        assert time.monotonic() < end, log.read_text()
        time.sleep(0.2)


def attack(here: Site, examples: int, *more: str) -> Attack:
    """Call what the document names with generated values, all checks on, as another installation of the first outfit.

    It may do all that the office may, and calls of its own.

    The document is fetched first, since a busy machine may take longer over it than the caller waits. What is said
    goes to a file beside the server's log as it is said.
    """
    document, said, config = (here.log.with_name(name) for name in ("openapi.json", "said", "calls.toml"))
    config.write_text(f"{CONFIG.read_text()}\n[phases.stateful.generation]\nmax-examples = {examples * WALKS}\n")
    with urllib.request.urlopen(here.document, timeout=LONGEST) as answer:
        document.write_bytes(answer.read())
    command = [
        *(sys.executable, "-m", "schemathesis.cli", "--config-file", str(config), "run", str(document)),
        *("--url", here.url, "--header", f"Authorization: Bearer {here.tokens['sibling']}"),
        *("--max-examples", str(examples), "--checks", "all", "--no-color", "--request-timeout", "60"),
        *more,
    ]
    with said.open("w") as output:
        ended = subprocess.run(command, cwd=here.log.parent, stdout=output, stderr=subprocess.STDOUT, check=False)
    return Attack(ended.returncode, said.read_text())
