"""Reads the configuration file (TOML) into settings, with every fault in it named at once."""

import re
import tomllib
from decimal import Decimal
from pathlib import Path
from uuid import UUID

from herd.bridge import joining, steadiness
from herd.bridge.patterns import GROUPS, Flag, Words
from herd.bridge.settings import Beep, Folder, Port, Serial, Settings, Tcp
from herd.bridge.tables import Document, Fault, Table
from herd.values.mass import NANOGRAMS, WeightUnit

EXAMPLE = Path(__file__).with_name("example.toml")
UNITS = ("", *WeightUnit)
FRAMING = re.compile(r"[5-8][NEOMS](1|1\.5|2)")
SPEEDS = (300, 4_000_000)


class Misconfigured(Exception):  # noqa: N818
    """The file can't be used; the text has a line for each fault."""

    def __init__(self, path: Path, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__("\n".join(f"{path.name}, {fault}" for fault in faults))


def read_configuration(path: Path) -> Settings:
    """Read the file; paths in it count from where it lies. Raises Misconfigured with all that is wrong."""
    try:
        text = path.read_text(encoding="utf-8")
        values = tomllib.loads(text)
    except OSError as problem:
        raise Misconfigured(path, [Fault(0, "file", "", f"It can't be read: {problem.strerror}.")]) from problem
    except ValueError as problem:
        raise Misconfigured(path, [Fault(_line(problem), "file", "", f"It is no TOML: {problem}.")]) from problem
    document = Document(text)
    settings = _settings(Table(document, "", values), path.resolve().parent)
    if document.faults:
        raise Misconfigured(path, sorted(document.faults, key=lambda fault: fault.line))
    return settings


def _line(problem: ValueError) -> int:
    found = re.search(r"line (\d+)", str(problem))
    return int(found[1]) if found else 0


def _settings(top: Table, home: Path) -> Settings:
    ports = [_port(one) for one in top.tables("ports")]
    if not ports:
        top.fault("ports", "At least one port is needed, under [[ports]].")
    names = [port.name for port in ports]
    for one in {name for name in names if names.count(name) > 1}:
        top.fault("ports", f"Two ports are called {one!r}.")
    settings = Settings(
        store=home / top.text("store", is_needed=True),
        keep=home / top.text("keep", is_needed=True),
        ports=tuple(ports),
        steady=_steady(top.table("steady")),
        joining=_joining(top.table("joining")),
        silence=top.number("silence", 5, 0.5, 600),
        beep=_beep(top.table("beep"), names),
        folder=_folder(top.table("folder"), home) if "folder" in top.values else None,
        every=top.number("every", 15, 1, 3600),
        page=int(top.number("page", 8765, 0, 65535)),
        raw_lines=int(top.number("raw_lines", 20_000, 100, 10_000_000)),
    )
    top.asked.add("folder")
    top.end()
    return settings


def _port(table: Table) -> Port:
    name = table.text("name", is_needed=True)
    line = _line_of(table)
    flags = table.table("status")
    words = Words(
        patterns=_patterns(table),
        flags={word.upper(): flag for flag in Flag for word in flags.texts(flag.value)},
        unit=WeightUnit(unit) if (unit := table.choice("unit", "", UNITS)) else None,
        decimal_mark=table.choice("decimal_mark", ".", (".", ",")),
    )
    flags.end()
    _check_unit(table, words)
    table.end()
    return Port(name, line, words)


def _line_of(table: Table) -> Serial | Tcp:
    given = [key for key in ("serial", "connect", "listen") if table.values.get(key)]
    if len(given) != 1:
        table.fault("name", "A port has exactly one of serial, connect, listen.")
    speed = int(table.number("speed", 9600, *SPEEDS))
    framing = table.text("framing", "8N1").upper()
    if not FRAMING.fullmatch(framing):
        table.fault("framing", "It is data bits, parity (N, E, O, M, S) and stop bits, as in 8N1.")
    path, called, waiting = table.text("serial"), table.text("connect"), table.text("listen")
    if not called and not waiting:
        return Serial(path, speed, framing)
    host, _, number = (called or waiting).rpartition(":")
    if not host or not (number.isascii() and number.isdigit() and int(number) <= 65535):
        table.fault("connect" if called else "listen", "It is an address and a port, as in 192.168.1.50:4001.")
        return Tcp("", 0)
    return Tcp(host.strip("[]"), int(number), bool(waiting))


def _patterns(table: Table) -> list[re.Pattern[str]]:
    found = []
    for text in table.texts("patterns"):
        try:
            pattern = re.compile(text, re.ASCII)
        except re.error as problem:
            table.fault("patterns", f"{text!r} is no regular expression: {problem}.")
            continue
        if not GROUPS & set(pattern.groupindex) or set(pattern.groupindex) - GROUPS:
            table.fault("patterns", f"{text!r} needs groups called {', '.join(sorted(GROUPS))}, and no others.")
        found.append(pattern)
    if not table.values.get("patterns"):
        table.fault("patterns", "At least one pattern is needed.")
    return found


def _check_unit(table: Table, words: Words) -> None:
    bare = [one for one in words.patterns if "weight" in one.groupindex and "unit" not in one.groupindex]
    if bare and words.unit is None:
        table.fault("unit", "A pattern has a weight without a unit group: say here whether it is lb or kg.")


def _steady(table: Table) -> steadiness.Rule:
    unit = WeightUnit(table.choice("unit", "kg", tuple(WeightUnit)))

    def mass(key: str, kilograms: float) -> int:
        default = kilograms if unit is WeightUnit.KG else round(kilograms * 2.2)
        return int(Decimal(str(table.number(key, default, 0, 5000))) * NANOGRAMS[unit])

    rule = steadiness.Rule(
        spread=mass("spread", 2),
        seconds=table.number("seconds", 1.5, 0.1, 60),
        least=int(table.number("least", 4, 2, 1000)),
        gap=table.number("gap", 1.5, 0.1, 60),
        empty_below=mass("empty_below", 15),
        empty_for=table.number("empty_for", 0.5, 0, 60),
        differs=mass("differs", 10),
        is_printed=table.flag("printed", default=False),
    )
    table.end()
    return rule


def _joining(table: Table) -> joining.Rule:
    where = joining.Where(table.choice("reader", "at", tuple(joining.Where)))
    rule = joining.Rule(where, table.number("seconds", 30, 1, 3600), table.number("repeat", 120, 0, 86_400))
    table.end()
    return rule


def _beep(table: Table, ports: list[str]) -> Beep:
    port, answer = table.text("port"), table.text("answer")
    if port and port not in ports:
        table.fault("port", f"No port is called so; there are {', '.join(ports)}.")
    if bool(port) != bool(answer):
        table.fault("answer", "A port and the answer to it go together.")
    beep = Beep(table.flag("bell", default=True), port, answer.encode())
    table.end()
    return beep


def _folder(table: Table, home: Path) -> Folder:
    path = home / table.text("path", is_needed=True)
    if not path.is_dir():
        table.fault("path", "There is no such folder.")
    group = table.text("group")
    try:
        key = UUID(group) if group else None
    except ValueError:
        table.fault("group", "It is the group's id, as the office shows it in the group's address.")
        key = None
    names = tuple(table.texts("names", Folder(path).names))
    folder = Folder(path, names, table.number("settled", 10, 1, 3600), key)
    table.end()
    return folder
