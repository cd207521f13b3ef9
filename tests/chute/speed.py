"""From a number's arrival to its card, with many head on the device: prints milliseconds, by hand.

    .venv/bin/python -m tests.chute.speed [head]
"""

import os
import sys

import pytest

HEAD = "NOTCHBOOK_SPEED_HEAD"
FULL = 50_000
USUAL = 3_000

if __name__ == "__main__":
    os.environ[HEAD] = sys.argv[1] if len(sys.argv) > 1 else str(FULL)
    sys.exit(pytest.main(["-q", "-s", "-p", "no:cacheprovider", "tests/chute/test_speed.py"]))
