"""What was given or done to an animal: treatments, vaccinations, castration. The label and the veterinarian decide."""

import re
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from herd.exchange.kinds.measures import plain_figure, say_number
from herd.exchange.kinds.shape import Occurrence, Told, filled
from herd.exchange.moments import When, read_when, say_day
from herd.exchange.node import LONGEST_NAME, Node

# Dose units by UN/CEFACT code; how a code's unit is written here, which is the first of its words.
DOSE_UNITS = {"MLT": ("mL", "ml", "cc"), "LTR": ("L", "l"), "MGM": ("mg",), "GRM": ("g",), "XTU": ("tube", "tubes")}
DOSE_CODES = {word: code for code, words in DOSE_UNITS.items() for word in words}
OTHER_CODES = {"GJ": "g/mL", "GL": "g/L", "GRN": "gr", "L19": "mL/L", "NA": "mg/kg", "WW": "mL of water"}
OTHER_CODES |= {"SYR": "syringe", "XVI": "vial", "XAR": "suppository", "XCQ": "cartridge"}
UNITS_READ = {**{code: words[0] for code, words in DOSE_UNITS.items()}, **OTHER_CODES}
_DOSE = re.compile(r"(\d{1,6}(?:\.\d{1,4})?) ?([A-Za-z]{1,5})")
CASTRATION = "Castration"
_UTC = ZoneInfo("UTC")


def say_medicine(event: Occurrence) -> dict[str, Any]:
    """The product with its batch, dose, route as the procedure, site, and until when its meat is held."""
    said = event.data
    return filled(
        {
            "medicine": filled({"name": said.get("product")}),
            "procedure": said.get("route"),
            "batches": [{"identifier": said["lot"]}] if said.get("lot") else [],
            "withdrawals": [{"productType": "Meat", "endDate": say_day(date.fromisoformat(event.until))}]
            if event.until
            else [],
            "dose": _say_dose(str(said.get("dose", ""))),
            "site": said.get("site"),
            "responsible": said.get("given_by"),
        }
    )


def _say_dose(text: str) -> dict[str, Any]:
    found = _DOSE.fullmatch(text.strip())
    if found is None or found[2] not in DOSE_CODES:
        return {}
    return {"doseQuantity": say_number(found[1]), "doseUnits": DOSE_CODES[found[2]]}


def say_castration(_: Occurrence) -> dict[str, Any]:
    """A procedure without a medicine."""
    return {"procedure": CASTRATION}


def read_treatment(node: Node, when: When) -> list[Told]:
    """A treatment with its product; castration, or another procedure as a note, where nothing was given."""
    product, procedure = node.inside("medicine").text("name", LONGEST_NAME).strip(), node.text("procedure", 200)
    comment = node.text("comment")
    if not product:
        if procedure.casefold() == CASTRATION.casefold():
            return [Told("castration", filled({"note": comment}))]
        if not procedure and not comment:
            raise node.refuse("medicine", "Neither a product nor a procedure is named.")
        return [Told("note", {"note": ": ".join(filter(None, (procedure, comment)))})]
    data: dict[str, Any] = {"product": product, "route": procedure, "site": node.text("site", 200)}
    batches = [one.text("identifier", LONGEST_NAME) for one in node.listed("batches")]
    data |= {"lot": ", ".join(filter(None, batches)), "dose": _read_dose(node.inside("dose"))}
    data |= {"given_by": node.text("responsible", 200), "withdrawal_days": _days_held(node, when), "note": comment}
    return [Told("treatment", filled(data))]


def _read_dose(dose: Node) -> str:
    figure = dose.number("doseQuantity")
    if figure is None:
        return ""
    unit = dose.choice("doseUnits", UNITS_READ) or ""
    return f"{plain_figure(figure)} {unit}".strip()


def _days_held(node: Node, when: When) -> int | None:
    """Days from the day it was given to the last that is held for meat; None where that is not told."""
    ends = [
        read_when(one, "endDate", _UTC).on
        for one in node.listed("withdrawals")
        if one.text("productType") == "Meat"
    ]
    last = max((end for end in ends if end), default=None)
    if last is None or when.on is None:
        return None
    days = (last - when.on).days
    if not 0 <= days <= 1_000:
        raise node.refuse("withdrawals", "The withdrawal ends before it begins, or years later.")
    return days
