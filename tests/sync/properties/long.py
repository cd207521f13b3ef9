"""Many histories, by hand: `python -m tests.sync.properties.long --examples N --seed S [--shrink]`."""

import argparse
import os
import time

import django

PORTION = 50


def main() -> None:
    """Make a test database, run histories in portions, say how many held."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--examples", type=int, default=1_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--shrink", action="store_true")
    given = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    # Models can be imported only now.
    from django.test.utils import setup_databases, setup_test_environment, teardown_databases  # noqa: PLC0415

    from tests.sync.properties.running import walk  # noqa: PLC0415

    setup_test_environment()
    made = setup_databases(verbosity=0, interactive=False)
    began, done = time.monotonic(), 0
    try:
        while done < given.examples:
            walk(min(PORTION, given.examples - done), start=given.seed + done, shrinks=given.shrink)
            done += min(PORTION, given.examples - done)
            print(f"{done} histories held in {time.monotonic() - began:.0f} s", flush=True)  # noqa: T201
    finally:
        teardown_databases(made, verbosity=0)


if __name__ == "__main__":
    main()
