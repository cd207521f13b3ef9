"""Those who work while things break: devices at the chute that weigh, and someone who brings field files in."""

import random
import threading
import time
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import httpx

from herd.client import Client, ClientError
from herd.client.client import Surroundings
from herd.client.clocks import clocks_of_machine
from herd.client.store import Store
from tests.bench.filling import eid, pounds

BEGAN = datetime(2026, 10, 26, 14, 0, tzinfo=UTC)
FIRST_DAY = date(2025, 1, 2)


class AtWork(threading.Thread):
    """Somebody at work beside the others, who ends with the program."""

    def __post_init__(self) -> None:
        super().__init__(daemon=True)


@dataclass(eq=False)
class Device(AtWork):
    """Weighs its own head one after the other and syncs; what it captured stands in its file whatever happens."""

    path: Path
    heads: range
    is_over: threading.Event
    captured: list[str] = field(default_factory=list)
    failures: int = 0

    def run(self) -> None:
        """Work until the end, then deliver what is left."""
        client = Client.open(self.path, Surroundings(clocks_of_machine(), lambda wait: time.sleep(min(wait, 0.5))))
        while not self.is_over.is_set():
            for _ in range(5):
                turn, place = divmod(len(self.captured), len(self.heads))
                at = BEGAN + timedelta(days=turn % 24, seconds=place)
                head = self.heads[place]
                self.captured.append(str(client.weigh(eid(head), str(pounds(head, 2026) + 5), "lb", at=at)))
            self._sync(client)
            time.sleep(random.uniform(0.2, 1.0))
        while self._sync(client) is False:
            time.sleep(1)
        client.close()

    def _sync(self, client: Client) -> bool:
        try:
            client.sync()
        except ClientError:
            self.failures += 1
            return False
        return True

    @classmethod
    def enrolled(cls, path: Path, address: str, token: str, heads: range, is_over: threading.Event) -> "Device":
        """A device with a file of its own."""
        store = Store.make(path)
        with store.writing():
            store.put(url=address, token=token, outfit="bench", name=path.stem)
        store.close()
        return cls(path, heads, is_over)


@dataclass(eq=False)
class Office(AtWork):
    """Brings in one processing day after the other and has it applied; `days` are those that were acknowledged."""

    address: str
    token: str
    heads: range
    is_over: threading.Event
    days: list[str] = field(default_factory=list)
    failures: int = 0

    def run(self) -> None:
        """Work until the end."""
        with httpx.Client(base_url=self.address, timeout=20, headers={"Authorization": f"Bearer {self.token}"}) as web:
            while not self.is_over.is_set():
                self._bring(web)
                time.sleep(random.uniform(0.5, 1.5))
                self.apply_all(web)

    def apply_all(self, web: httpx.Client) -> int:
        """Have every day that is in review applied; return how many are not applied yet."""
        left = 0
        for day in self.days:
            answer = self._ask(web, "GET", f"/api/v1/days/{day}/")
            state = answer.json()["state"] if answer is not None and answer.status_code == 200 else ""
            if state in {"review", "failed"}:
                self._ask(web, "POST", f"/api/v1/days/{day}/apply/")
            left += state != "applied"
        return left

    def _bring(self, web: httpx.Client) -> None:
        on = FIRST_DAY + timedelta(days=len(self.days))
        lines = [f"{eid(head)},{pounds(head, 2025) + len(self.days) % 9}" for head in self.heads]
        content = "\n".join(["EID,Weight (lb)", *lines]).encode()
        key = {"Idempotency-Key": str(uuid4())}
        while not self.is_over.is_set():
            sent = {"files": ("scale.csv", content)}
            answer = self._ask(web, "POST", "/api/v1/days/", data={"worked_on": str(on)}, files=sent, headers=key)
            if answer is not None and answer.status_code == 202:
                self.days.append(answer.json()["id"])
                return
            time.sleep(0.5)

    def _ask(self, web: httpx.Client, method: str, path: str, **more: object) -> httpx.Response | None:
        try:
            answer = web.request(method, path, **more)  # type: ignore[arg-type]
        except httpx.HTTPError:
            self.failures += 1
            return None
        self.failures += answer.status_code >= 500
        return answer
