"""Many histories of three installations, by hand.

    python -m tests.sync.siblings.long --examples N [--steps M] [--shrink]

On SQLite, or on PostgreSQL where NOTCHBOOK_DATABASE_URL names a database.
"""

import argparse
import os
import subprocess
import sys


def main() -> None:
    """Run the test of random histories with more of them, others each time; its end is the test's."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--examples", type=int, default=200)
    parser.add_argument("--steps", type=int, default=30)
    parser.add_argument("--shrink", action="store_true")
    given = parser.parse_args()
    more = {"NOTCHBOOK_HISTORIES": str(given.examples), "NOTCHBOOK_HISTORIES_ANEW": "1"}
    more["NOTCHBOOK_STEPS"] = str(given.steps)
    if given.shrink:
        more["NOTCHBOOK_SHRINK"] = "1"
    test = "tests/sync/siblings/test_histories.py"
    command = [sys.executable, "-m", "pytest", test, "-q", "-x", "-p", "no:cacheprovider"]
    sys.exit(subprocess.run(command, env={**os.environ, **more}, check=False).returncode)


if __name__ == "__main__":
    main()
