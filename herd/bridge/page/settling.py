"""What a person decides on the page: joins a weight with a number, sets a reading aside, puts it back."""

from collections.abc import Callable, Mapping

from herd.bridge.keeping import Keeping
from herd.bridge.pairs import Settled, join_by_person, put_back, set_aside
from herd.client.faults import Unfit
from herd.client.subjects import read_typed

Given = Mapping[str, str]


def settle(keeping: Keeping, address: str, given: Given) -> str:
    """Do what was decided; a sentence where it can't be done, else nothing. Raises NotKept."""
    work = WORK.get(address)
    if work is None:
        return "There is no such thing to do here."
    try:
        work(keeping, given)
    except (Settled, Unfit) as problem:
        return str(problem)
    return ""


def _join(keeping: Keeping, given: Given) -> None:
    typed, number = given.get("typed", "").strip(), given.get("number", "")
    if bool(typed) == bool(number):
        raise Unfit("Choose a number that was read, or type one: one of the two.")
    if typed:
        read = read_typed(typed)
        typed = f"{read.number} {read.colour}".strip()
    join_by_person(keeping, given.get("weight", ""), number, typed)


def _aside(keeping: Keeping, given: Given) -> None:
    set_aside(keeping, given.get("reading", ""), "Set aside by a person.")


def _back(keeping: Keeping, given: Given) -> None:
    put_back(keeping, given.get("reading", ""))


WORK: dict[str, Callable[[Keeping, Given], None]] = {"/join": _join, "/aside": _aside, "/back": _back}
