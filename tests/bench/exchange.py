"""Times the open exchange: a herd of ten thousand head out as one document, and into an empty outfit.

    .venv/bin/python -m tests.bench.exchange [head]

Beside each stands what the json module of the standard library takes to write or read the same document.
"""

import json
import sys
from datetime import date
from pathlib import Path
from typing import Any

from tests.bench.reports import fill
from tests.bench.scratch import scratch_installation, timed


def main(head: int) -> None:
    """Fill a herd, write it out, read it into another outfit and apply it."""
    with scratch_installation() as folder:
        from herd.accounts.models import Outfit  # noqa: PLC0415
        from herd.accounts.services import open_outfit  # noqa: PLC0415
        from herd.registry.models import Animal  # noqa: PLC0415

        today = date.today()  # noqa: DTZ011
        fill(head, today)
        path = folder / "herd.json"
        count = write_out(Outfit.objects.get(code="bench"), path)
        print(f"{count} resources, {path.stat().st_size / 1e6:.0f} MB")  # noqa: T201
        other = open_outfit(code="other", name="Other")
        take_in(other, path, count, today)
        have, had = (Animal.objects.filter(outfit__code=code, is_void=False).count() for code in ("other", "bench"))
        print(f"{have} of {had} head came in")  # noqa: T201


def write_out(outfit: Any, path: Path) -> int:
    """Write the document; returns how many resources it has."""
    from herd.exchange.outward.documents import write_file  # noqa: PLC0415
    from herd.exchange.outward.scope import Scope  # noqa: PLC0415
    from herd.registry.models import Animal, Event  # noqa: PLC0415

    rows = Animal.objects.of(outfit).count() + Event.objects.of(outfit).count()
    with timed("out: animals and events of the record", rows):
        count = sum(write_file(Scope(outfit), path).values())
    members = json.loads(path.read_text(encoding="utf-8"))
    with timed("  peer: json.dumps of the same", count):
        json.dumps(members)
    return count


def take_in(outfit: Any, path: Path, count: int, today: date) -> None:
    """Stage and decide the document, then apply what is clear."""
    from herd.exchange.inward.staging import take_in as stage  # noqa: PLC0415
    from herd.intake.days import GivenFile  # noqa: PLC0415
    from herd.intake.models import Finding  # noqa: PLC0415
    from herd.intake.pipeline import apply_day  # noqa: PLC0415

    content = path.read_bytes()
    with timed("  peer: json.loads of the same", count):
        json.loads(content)
    with timed("in: staged and decided", count):
        day = stage(outfit=outfit, person=None, files=[GivenFile(path.name, content)], worked_on=today)
    print(f"{Finding.objects.filter(day=day, is_open=True).count()} findings")  # noqa: T201
    with timed("in: applied", count):
        apply_day(day, None)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
