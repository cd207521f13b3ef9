"""Pregnancy checks, services and calvings."""

from typing import Any

from herd.exchange.kinds.shape import Occurrence, Told, filled
from herd.exchange.moments import When
from herd.exchange.names import ANIMAL, as_uuid, say_identifier
from herd.exchange.node import Node

RESULTS = {"pregnant": "Pregnant", "open": "Empty", "recheck": "Unknown"}
RESULTS_READ = {**{word: result for result, word in RESULTS.items()}, "Multiple": "pregnant"}
# Words of a method that tell the standard's, in the order in which they are looked for; the first is how it is read.
CHECK_METHODS = {
    "Echography": ("ultrasound", "echo", "scan"),
    "Palpation": ("palpation", "palpat", "arm"),
    "Blood": ("blood",),
    "Milk": ("milk",),
    "Visual": ("visual",),
}
SERVICE_METHODS = {
    "Implantation": ("embryo transfer", "embryo", "implant"),
    "Insemination": ("artificial insemination", "insem"),
    "RunWithBull": ("run with bull", "pasture", "turn", "expos"),
    "NaturalService": ("natural service", "natural", "hand"),
}
INSEMINATED = frozenset({"ai", "a.i."})
# The standard's five words, from the easiest; the record has the same steps as figures.
EASE = dict(
    zip(
        "12345",
        (
            "EasyUnassisted",
            "EasyAssisted",
            "DifficultExtraAssistance",
            "DifficultVeterinaryCare",
            "CaesareanOrSurgery",
        ),
        strict=True,
    )
)
BORN_ALIVE = frozenset({"Alive", "DiedBeforeTaggingDate", "DiedAfterTaggingDate", "SlaughteredAtBirth"})
MOST_CALVES = 4


def say_check(event: Occurrence) -> dict[str, Any]:
    """The result, the days bred and the method as far as the standard has a word for it."""
    method = _method_of(str(event.data.get("method", "")), CHECK_METHODS)
    said = {"result": RESULTS.get(str(event.data.get("result"))), "foetalAge": event.data.get("days")}
    return filled({**said, "method": method or ("Other" if event.data.get("method") else "")})


def read_check(node: Node, _: When) -> list[Told]:
    """A pregnancy check; one with more than one calf is pregnant, with the count as a note."""
    result = node.choice("result", RESULTS_READ)
    if result is None:
        raise node.refuse("result", "There is no result in it.")
    methods = {**{word: words[0] for word, words in CHECK_METHODS.items()}, "Other": ""}
    count = node.whole("foetusCount") or (2 if node.text("result") == "Multiple" else 1)
    data = {"result": result, "days": node.whole("foetalAge"), "method": node.choice("method", methods)}
    note = f"{count} calves or more" if count > 1 else ""
    return [Told("pregnancy_check", filled({**data, "note": note}))]


def say_service(event: Occurrence) -> dict[str, Any]:
    """How she was served, and the sire by his identifier or in words."""
    method, sire = str(event.data.get("method", "")), str(event.data.get("sire", ""))
    way = "Insemination" if method.casefold() in INSEMINATED else _method_of(method, SERVICE_METHODS)
    said: dict[str, Any] = {"inseminationType": way or "NaturalService"}
    if as_uuid(sire):
        return {**said, "sireIdentifiers": [say_identifier(ANIMAL, sire)]}
    return {**said, "sireOfficialName": sire} if sire else said


def read_service(node: Node, _: When) -> list[Told]:
    """A service; the last day of a run with a bull stands in the note."""
    ways = {word: words[0] for word, words in SERVICE_METHODS.items()}
    method = node.choice("inseminationType", ways)
    if method is None:
        raise node.refuse("inseminationType", "It is not said how she was served.")
    sires = [one.as_identifier() for one in node.listed("sireIdentifiers")]
    end = node.text("eventEndDateTime", 40)
    data = filled({"method": method, "sire": node.text("sireOfficialName", 200), "note": f"until {end}" if end else ""})
    if len(sires) > 1:
        data["note"] = f"{data.get('note', '')} one of {len(sires)} sires".strip()
    animals = {"sire": sires[0]} if len(sires) == 1 else {}
    return [Told("service", {key: value for key, value in data.items() if key not in animals}, animals)]


def say_calving(event: Occurrence) -> dict[str, Any]:
    """The calving of a dam with its calf; the ease in the standard's words."""
    calf, outcome = str(event.data.get("calf", "")), event.data.get("outcome")
    one: dict[str, Any] = {"resourceType": "icarProgenyDetailsResource", "specie": "Cattle"}
    one["gender"] = event.genders.get(calf, "Unknown")
    if as_uuid(calf):
        one["identifier"] = say_identifier(ANIMAL, calf)
    if outcome:
        one["birthStatus"] = "Alive" if outcome == "live" else "Stillborn"
    live = {"live": 1, "dead": 0}.get(str(outcome))
    said = {"calvingEase": EASE.get(str(event.data.get("ease", ""))), "liveProgeny": live, "totalProgeny": 1}
    return {key: value for key, value in {**said, "progenyDetails": [one]}.items() if value is not None}


def read_calving(node: Node, _: When) -> list[Told]:
    """One calving for each calf, as the record has it."""
    figures = {word: figure for figure, word in EASE.items()}
    ease = node.choice("calvingEase", figures)
    calves = list(node.listed("progenyDetails")) or list(node.listed("progeny"))
    total, live = node.whole("totalProgeny"), node.whole("liveProgeny")
    if len(calves) > MOST_CALVES or (total or 0) > MOST_CALVES:
        raise node.refuse("totalProgeny", f"More than {MOST_CALVES} calves at once are not taken.")
    if not calves:
        return [Told("calving", filled({"outcome": _outcome(place, total, live), "ease": ease}))
                for place in range(max(total or live or 1, 1))]
    return [_read_calf(calf, ease or "") for calf in calves]


def _outcome(place: int, total: int | None, live: int | None) -> str:
    if live is None:
        return ""
    return "live" if place < live else "dead" if total is not None and place < total else ""


def _read_calf(calf: Node, ease: str) -> Told:
    status = calf.text("birthStatus")
    outcome = "" if not status else "live" if status in BORN_ALIVE else "dead"
    named = calf.identifier("identifier")
    return Told("calving", filled({"outcome": outcome, "ease": ease}), {"calf": named} if named else {})


def _method_of(text: str, methods: dict[str, tuple[str, ...]]) -> str:
    words = text.casefold()
    return next((word for word, signs in methods.items() if any(sign in words for sign in signs)), "") if words else ""
