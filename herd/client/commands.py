"""The client's command line, for a scale PC without a script of its own."""

import argparse
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from herd.client.client import Client, Surroundings, here
from herd.client.copy import Card
from herd.client.faults import ClientError, NotHere, Offline

OK, WAITS, REFUSED = 0, 3, 1


def main(arguments: Sequence[str], surroundings: Surroundings | None = None) -> int:
    """Run one command; 0 where all went well, 3 where the server can't be reached, 1 where something was refused."""
    asked = _parser().parse_args(arguments)
    try:
        work: Callable[[argparse.Namespace, Surroundings], int] = asked.work
        return work(asked, surroundings or here())
    except KeyboardInterrupt:
        # A sync that goes on is ended like this; what was stored is delivered by the next.
        return OK
    except Offline as problem:
        _complain(str(problem))
        return WAITS
    except ClientError as problem:
        _complain(str(problem))
        return REFUSED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m herd.client", description=__doc__)
    parser.add_argument("--store", type=Path, required=True, help="the file that holds everything of this device")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    enrol = commands.add_parser("enrol", help="spend a one-time code of the office")
    enrol.add_argument("url", help="the server's address, such as https://ranch.example")
    enrol.add_argument("code", help="the code, valid ten minutes")
    enrol.set_defaults(work=_enrol)
    sync = commands.add_parser("sync", help="deliver what was captured and bring the herd up to date")
    sync.add_argument("--every", type=float, metavar="SECONDS", help="go on, with so many seconds in between")
    sync.set_defaults(work=_sync)
    weigh = commands.add_parser("weigh", help="record a weight")
    weigh.add_argument("number", help="EID or visual tag, as in '112 yellow'")
    weigh.add_argument("weight")
    weigh.add_argument("unit", nargs="?", default="", help="lb or kg; the outfit's where it is left out")
    weigh.set_defaults(work=_weigh)
    find = commands.add_parser("find", help="show animals with a number")
    find.add_argument("number", help="EID, visual tag, or last digits")
    find.set_defaults(work=_find)
    status = commands.add_parser("status", help="what is unsent, and what did not go straight into the record")
    status.set_defaults(work=_status)
    return parser


def _enrol(asked: argparse.Namespace, around: Surroundings) -> int:
    Client.enrol(asked.url, asked.code, asked.store, around).close()
    _say("Enrolled. Now `sync` brings the herd here.")
    return OK


def _sync(asked: argparse.Namespace, around: Surroundings) -> int:
    client = Client.open(asked.store, around)
    if asked.every is None:
        _say(_delivered(client, client.sync()))
        return OK
    while True:
        try:
            _say(_delivered(client, client.sync()))
        except ClientError as problem:
            # Work at the chute goes on: it is stored, and tried again.
            _complain(str(problem))
        around.sleep(max(1.0, asked.every))


def _delivered(client: Client, sent: int) -> str:
    troubled = len(client.trouble())
    return f"{time.strftime('%H:%M:%S')} delivered {sent}, unsent {len(client.unsent())}, to look at {troubled}"


def _weigh(asked: argparse.Namespace, around: Surroundings) -> int:
    client = Client.open(asked.store, around)
    client.weigh(asked.number, asked.weight, asked.unit)
    found = client.find(asked.number)
    _say("Stored.")
    for one in found[:1] if len(found) == 1 else []:
        _say(_line(one))
    if len(found) != 1:
        _say("No one animal has that number here; the office decides whose weight it is.")
    return OK


def _find(asked: argparse.Namespace, around: Surroundings) -> int:
    found = Client.open(asked.store, around).find(asked.number)
    if not found:
        raise NotHere(f"No animal here has {asked.number[:40]}.")
    for one in found:
        _say(_line(one))
    return OK


def _line(card: Card) -> str:
    """An animal in one line."""
    tags = " ".join(" ".join(filter(None, (one["number"], one["colour"]))) for one in card["tags"])
    said = [tags or "no tag", str(card["class"]), str(card["status"]).replace("_", " ")]
    if card["weights"]:
        last = card["weights"][0]
        said.append(f"{last['weight']} {last['unit']} on {last['on']}")
    if card["pregnancy"]:
        said.append(f"{card['pregnancy']['result']} on {card['pregnancy']['on']}")
    if card["in_withdrawal"]:
        until = f"until {card['free_on']}" if card["free_on"] else "for as long as the label and the veterinarian say"
        said.append(f"IN WITHDRAWAL {until}")
    if card["unsent"]:
        said.append(f"{card['unsent']} not in the record yet")
    return ", ".join(said)


def _status(asked: argparse.Namespace, around: Surroundings) -> int:
    client = Client.open(asked.store, around)
    _say(f"Unsent: {len(client.unsent())}")
    for one in client.trouble():
        reasons = " ".join(each["detail"] for each in one["reasons"])
        whose = " ".join(one.get("subject", {}).values())
        _say(f"{one['status']}: {one['kind']} {whose} at {one['at']}. {reasons}")
    return OK


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def _complain(line: str) -> None:
    sys.stderr.write(line + "\n")
    sys.stderr.flush()
