"""Takes a visitor's address from the proxy that was named, and from nobody else."""

from collections.abc import Callable, Iterable
from typing import Any

Application = Callable[[dict[str, Any], Any], Iterable[bytes]]

SAID = ("HTTP_X_FORWARDED_FOR", "HTTP_X_FORWARDED_PROTO", "HTTP_X_FORWARDED_HOST")
ANYBODY = "*"


def behind_proxy(application: Application, proxy: str) -> Application:
    """Return the application as it is asked by the proxy at this address; "" for no proxy, * where only it can ask.

    Of a list of addresses the last counts, which the proxy itself has added. What others say is taken away.
    """
    if not proxy:
        return application

    def asked(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        if proxy in (ANYBODY, environ.get("REMOTE_ADDR")):
            visitor = environ.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip()
            environ["REMOTE_ADDR"] = visitor or environ.get("REMOTE_ADDR", "")
        else:
            for name in SAID:
                environ.pop(name, None)
        return application(environ, start_response)

    return asked
