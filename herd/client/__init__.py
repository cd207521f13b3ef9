"""The client for scale PCs and scripts: keeps what is captured, delivers it, and knows the herd offline."""

from herd.client.client import Client
from herd.client.faults import Blocked, Busy, ClientError, Faulty, NotHere, NotStored, Offline, Refused, Unfit

__all__ = ["Blocked", "Busy", "Client", "ClientError", "Faulty", "NotHere", "NotStored", "Offline", "Refused", "Unfit"]
