"""Names of things across systems: identifier schemes, our one extension, and ids that a foreign thing gets here."""

import hashlib
from uuid import UUID

from herd.accounts.models import Outfit

Identifier = tuple[str, str]
"""A scheme and an id within it."""

EXTENSION = "notchbook"
"""The one member under which stands what the standard has no place for."""

ANIMAL = "urn:notchbook:animal"
LOCATION = "urn:notchbook:location"
OUTFIT = "urn:notchbook:outfit"
PREMISES = "urn:notchbook:premises"
BREED = "urn:notchbook:breed"
WEIGHING = "urn:notchbook:weighing"
CONDITION = "urn:notchbook:bodycondition"

# The schemes of the standard's own tables that carry a number as an EID has it.
EID_SCHEMES = ("std.iso.11785", "usa.ain", "eu.animalId")
TAG_SCHEMES = {
    **dict.fromkeys(EID_SCHEMES, "eid"),
    "urn:notchbook:vid": "vid",
    "urn:notchbook:nues": "nues",
    "urn:notchbook:tattoo": "tattoo",
    "urn:notchbook:brand": "brand",
    "urn:notchbook:back": "back",
}
SCHEME_OF_TAG = {kind: scheme for scheme, kind in TAG_SCHEMES.items()} | {"eid": EID_SCHEMES[0]}

_LOW_BITS, _RANDOM_BITS = 62, 74


def source_of(outfit: Outfit) -> str:
    """The system of record as the standard names it: the outfit's own id as a URI."""
    return f"urn:uuid:{outfit.pk}"


def say_identifier(scheme: str, key: object) -> dict[str, str]:
    """An identifier as the standard writes it."""
    return {"scheme": scheme, "id": str(key)}


def called(identifier: Identifier) -> str:
    """One text for an identifier, by which rows of one animal find each other."""
    return " ".join(identifier)


def as_uuid(text: str) -> UUID | None:
    """The UUID that a text is, or None."""
    try:
        return UUID(text)
    except ValueError:
        return None


def counterpart(outfit: Outfit, source: str, given: str) -> UUID:
    """The id that a thing of another system gets here: always the same, and its own in each outfit.

    Ids of version 7 keep their moment and their order, because events of one day are folded in the order of their
    ids; each is moved on by a distance that the outfit and the source determine. Any other name is hashed.
    """
    key = hashlib.sha256(f"{outfit.pk}\n{source}".encode()).digest()
    own = as_uuid(given)
    if own is None or own.version != 7:
        digest = hashlib.sha256(key + given.encode()).digest()
        return UUID(int=_version_8(digest))
    random = (own.int >> 64 & 0xFFF) << _LOW_BITS | own.int & ((1 << _LOW_BITS) - 1)
    moved = (random + (int.from_bytes(key[:10], "big") >> 7)) % (1 << _RANDOM_BITS)
    high, low = moved >> _LOW_BITS, moved & ((1 << _LOW_BITS) - 1)
    return UUID(int=own.int >> 80 << 80 | 0x7 << 76 | high << 64 | 0b10 << 62 | low)


def _version_8(digest: bytes) -> int:
    """A UUID of version 8 (RFC 9562, section 5.8) out of a digest."""
    whole = int.from_bytes(digest[:16], "big")
    return whole & ~(0xF << 76) & ~(0b11 << 62) | 0x8 << 76 | 0b10 << 62
