"""Enrols the device: a one-time code for a token, kept in the file before anything else."""

import json

import httpx

from herd.client.faults import Unfit
from herd.client.store import Store
from herd.client.wire import Wire


def enrol(store: Store, url: str, code: str, transport: httpx.BaseTransport | None) -> None:
    """Get a token for a code and keep it; raises Offline, Refused, and Unfit for another outfit's file.

    Where the answer is lost on its way the code is spent: the office gives a new one.
    """
    wire = Wire(url, lambda: "", transport)
    try:
        told = wire.post("enrol/", json.dumps({"code": code}).encode())
    finally:
        wire.close()
    outfit = store.get("outfit")
    if outfit and outfit != told["outfit"]:
        raise Unfit(f"This file belongs to {outfit}, and the code to {told['outfit']}: take another file for it.")
    with store.writing():
        store.put(url=url, learned_on="", **{name: told[name] for name in ("token", "device", "outfit", "name")})


def learn_outfit(store: Store, wire: Wire) -> None:
    """Learn the outfit's time zone and unit of weight, at the first pull of each day."""
    if store.get("learned_on") and store.get("learned_on") == store.get("server_time")[:10]:
        return
    told = wire.get("me/")
    with store.writing():
        store.put(time_zone=told["time_zone"], weight_unit=told["weight_unit"], learned_on=told["server_time"][:10])
