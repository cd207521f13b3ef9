"""Runs the bridge from the command line: `python -m herd.bridge --config FILE`."""

import sys

from herd.bridge.commands import main

sys.exit(main(sys.argv[1:]))
