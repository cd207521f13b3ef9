"""Runs the client from the command line: `python -m herd.client --store FILE ...`."""

import sys

from herd.client.commands import main

sys.exit(main(sys.argv[1:]))
