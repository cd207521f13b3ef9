"""The whole of a server killed at random while it is worked with: `python -m tests.faults.long [seconds] [seed]`."""
