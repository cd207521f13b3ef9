"""The long form, run by hand: `python -m tests.api.outside [EXAMPLES]`, with every phase."""

import argparse
import os
import sys
import tempfile
from pathlib import Path

from tests.api.outside.site import attack, site

EXAMPLES = 50


def main() -> int:
    """Serve the seeded outfit, call everything, print what was found; 0 where that is nothing.

    On PostgreSQL where NOTCHBOOK_DATABASE_URL names an empty database; in a file of its own otherwise.
    """
    asked = argparse.ArgumentParser(prog="python -m tests.api.outside", description=main.__doc__)
    asked.add_argument("examples", type=int, nargs="?", default=EXAMPLES, help=f"examples for each call ({EXAMPLES})")
    asked.add_argument("more", nargs="*", help="words for the caller, behind --")
    given = asked.parse_args()
    url = os.environ.get("NOTCHBOOK_DATABASE_URL", "")
    with tempfile.TemporaryDirectory(prefix="notchbook-outside-") as folder:
        with site(Path(folder), **({"NOTCHBOOK_DATABASE_URL": url} if url else {})) as here:
            found = attack(here, given.examples, "--continue-on-failure", *given.more)
        broken = [line for line in here.log.read_text().splitlines() if "Traceback" in line]
    sys.stdout.write(f"{found.said}\n{len(broken)} tracebacks in the server's log\n")
    return found.status or bool(broken)


if __name__ == "__main__":
    sys.exit(main())
