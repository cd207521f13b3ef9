"""A scale PC's program in a process of its own: weighs, says each id once it is stored, and may be killed at it."""

import os
import signal
import sys
from pathlib import Path

import httpx

from herd.client import Client
from tests.client.linking import around


class DeadlyLink(httpx.BaseTransport):
    """A link on which the process dies with what it sends half sent."""

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        os.kill(os.getpid(), signal.SIGKILL)
        raise AssertionError


def work(path: Path, number: str, count: int) -> Client:
    """Weigh an animal so many times."""
    client = Client.open(path, around(DeadlyLink()))
    for weight in range(count):
        op_id = client.record("note", {"eid": number}, {"note": f"{os.getpid()} {weight}"})
        sys.stdout.write(f"{op_id}\n")
        sys.stdout.flush()
    return client


if __name__ == "__main__":
    opened = work(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
    if "dies" in sys.argv:
        opened.push()
