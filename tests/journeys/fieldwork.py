"""The herd list of twelve cows of Mill Trap, and the three files of a day on which they were worked."""

from dataclasses import dataclass

HERD = range(401, 413)
WORKED_ON = "2025-10-20"
FIRST_WEIGHED_ON = "2024-10-21"


@dataclass(frozen=True, slots=True)
class Sent:
    """A file as a person has it: its name and its bytes."""

    name: str
    content: bytes


def eid(vid: int) -> str:
    """The EID of a cow, seventeen apart from the next, so that no two are one slip apart."""
    return f"840270000{vid * 17:06d}"


def misread(number: str) -> str:
    """The number with its last digit read wrongly."""
    return number[:-1] + str((int(number[-1]) + 5) % 10)


def herd_list() -> Sent:
    """Twelve cows with class, group and the weight of last fall, in pounds."""
    lines = ["Tag,Tag color,EID,Class,Birth date,Group,Weight lb,Weigh date"]
    lines += [
        f"{vid},yellow,{eid(vid)},cow,2020-03-{vid - 400:02d},Mill Trap,{1150 + vid - 400},{FIRST_WEIGHED_ON}"
        for vid in HERD
    ]
    return Sent("herd list.csv", "".join(f"{line}\n" for line in lines).encode())


def scale_file() -> Sent:
    """EID and weight in pounds from line 2: 404 misread, a stranger in line 8, the weight of 409 far off."""
    lines = ["EID,Weight (lb)"]
    for vid in HERD[:10]:
        number = misread(eid(vid)) if vid == 404 else eid(vid)
        weight = 400 if vid == 409 else 1200 + vid - 400
        lines.append(f"{number},{weight}")
    lines.insert(7, "840270000990033,1111")
    return Sent("scale.csv", "".join(f"{line}\r\n" for line in lines).encode())


def phone_list() -> Sent:
    """A list by visual tag with semicolons; tag 411 comes with a note, tag 405 was read by the scale too."""
    lines = ["VID;Tag color;Note", "405;yellow;limps", "411;yellow;late", "412;yellow;"]
    return Sent("phone list.csv", "".join(f"{line}\n" for line in lines).encode())


def vet_sheet() -> Sent:
    """The vet's sheet with words above the table and a total below; eight bred, four open."""
    lines = ["Pregnancy check,,", "Mill Trap,,", ",,", "Tag,Preg,Days"]
    lines += [f"{vid},bred,{90 + vid - 400}" if vid < 409 else f"{vid},open," for vid in HERD]
    lines.append("Total,12,")
    return Sent("vet.csv", "".join(f"{line}\r\n" for line in lines).encode())
