"""Serves the site on this machine, with its worker beside it, until it is told to end."""

import logging
import os
import signal
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from ipaddress import ip_address
from types import FrameType
from typing import Any, NoReturn

from django.conf import settings
from django.core.management.base import CommandError
from django.core.wsgi import get_wsgi_application
from waitress.server import create_server

from herd.config.celery import ask_to_back_up, ask_to_resume, ask_to_sync
from herd.config.lan import Lan, LanPorts
from herd.config.supervision import Reminder, WorkerSupervision

THREADS = 8
PORTS_TRIED = 50
RESUME_SECONDS = 60.0
BACK_UP_SECONDS = 600.0
SYNC_SECONDS = 60.0
REMINDERS = ((ask_to_resume, RESUME_SECONDS), (ask_to_back_up, BACK_UP_SECONDS), (ask_to_sync, SYNC_SECONDS))
PROXY_HEADERS = {"x-forwarded-for", "x-forwarded-proto", "x-forwarded-host"}


@dataclass(frozen=True, slots=True)
class Site:
    """Where to serve and with what: opens a browser, runs a worker of its own, serves the ranch network too."""

    host: str
    port: int
    with_browser: bool
    with_worker: bool
    lan: LanPorts | None = None


def serve(site: Site, say: Callable[[str], None]) -> None:
    """Serve until Ctrl-C or SIGTERM; raises CommandError where no port can be had."""
    listening = open_socket(site.host, site.port)
    port = listening.getsockname()[1]
    if site.port not in (0, port):
        say(f"Port {site.port} is taken by another program; using {port} instead.")
    for number in ending_signals():
        signal.signal(number, _end)
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    application = get_wsgi_application()
    server = create_server(application, sockets=[listening], threads=THREADS, ident=None, **proxy_options())
    with ExitStack() as ending:
        ending.callback(say, "Notchbook has ended.")
        lan = Lan(application, site.lan, say) if site.lan else None
        if site.with_worker:
            worker = WorkerSupervision(say)
            worker.start()
            ending.callback(worker.stop)
        for action, seconds in REMINDERS:
            reminder = Reminder(action, seconds)
            reminder.start()
            ending.callback(reminder.stop)
        address = show_address(site.host, port, say)
        if lan:
            lan.start()
            ending.callback(lan.stop)
        if site.with_browser and can_open_browser():
            threading.Timer(0.5, webbrowser.open, [address]).start()
        # Returns on Ctrl-C and on the SystemExit that the signals raise.
        server.run()
        say("Ending; a task under way is brought to its end first.")


def open_socket(host: str, port: int) -> socket.socket:
    """Return a socket bound to the host and the first free port from `port` on; raises CommandError."""
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
    except (socket.gaierror, OverflowError, UnicodeError) as problem:
        raise CommandError(f"{host!r} is not an address of this machine.") from problem
    last = port if port == 0 else min(port + PORTS_TRIED, 65535)
    for candidate in range(port, last + 1):
        opened = socket.socket(family, socket.SOCK_STREAM)
        # On Windows the option of this name would let two programs share one port.
        if sys.platform != "win32":
            opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            opened.bind((host, candidate))
            opened.listen()
        except OSError as problem:
            opened.close()
            reason = problem
        else:
            return opened
    raise CommandError(f"No free port from {port} to {last} on {host}: {reason.strerror}.")


def show_address(host: str, port: int, say: Callable[[str], None]) -> str:
    """Say where the site is and what serving other machines needs besides; returns the address."""
    is_loopback, is_any = host == "localhost", False
    with suppress(ValueError):
        is_loopback, is_any = ip_address(host).is_loopback, ip_address(host).is_unspecified
    shown = "127.0.0.1" if is_any else f"[{host}]" if ":" in host else host
    address = f"http://{shown}:{port}/"
    say(f"Notchbook is at {address} (Ctrl-C ends it).")
    if not is_loopback and not os.environ.get("NOTCHBOOK_HOSTS"):
        say("Other machines are answered only under the names listed in NOTCHBOOK_HOSTS, which is not set.")
    return address


def proxy_options() -> dict[str, Any]:
    """Return which proxy is believed about the visitor's address and protocol: none at home."""
    if not settings.TRUSTED_PROXY:
        return {}
    return {
        "trusted_proxy": settings.TRUSTED_PROXY,
        "trusted_proxy_count": 1,
        "trusted_proxy_headers": PROXY_HEADERS,
        "clear_untrusted_proxy_headers": True,
    }


def can_open_browser() -> bool:
    """Whether someone sits at a desktop here; a text browser would take the console over."""
    if os.environ.get("CI") or not sys.stdout.isatty():
        return False
    is_desktop = sys.platform in ("win32", "darwin")
    return is_desktop or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def ending_signals() -> list[signal.Signals]:
    """Return the signals, besides Ctrl-C, that mean the end: SIGTERM, and a closed console unless ignored."""
    if sys.platform == "win32" or signal.getsignal(signal.SIGHUP) == signal.SIG_IGN:
        return [signal.SIGTERM]
    return [signal.SIGTERM, signal.SIGHUP]


def _end(number: int, frame: FrameType | None) -> NoReturn:
    for each in ending_signals():
        signal.signal(each, signal.SIG_IGN)
    raise SystemExit(0)
