"""How much each piece of evidence weighs, in bits, after Fellegi and Sunter.

A piece of evidence that is seen with probability m on rows about the animal and with probability u on rows
about another one weighs log2(m / u) bits (I. P. Fellegi and A. B. Sunter, A theory for record linkage,
Journal of the American Statistical Association 64, 1969, pages 1183 to 1210). The probabilities are estimates
for field files of cattle outfits, set by hand and checked on generated days with known truth.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log2
from typing import Protocol, TypeVar


@dataclass(frozen=True, slots=True)
class Evidence:
    """One kind of evidence with its two probabilities, and the weight of seeing it in bits."""

    name: str
    m: float
    u: float
    bits: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "bits", log2(self.m / self.u))


EID_WORN = Evidence("wears this EID", 0.98, 1e-9)
EID_BEFORE = Evidence("wore this EID before", 0.01, 2e-4)
# Numbers of one box follow each other, so that a near number is common among animals tagged together.
EID_NEAR = Evidence("wears an EID one slip away", 0.01, 1e-3)
EID_OTHER = Evidence("wears another EID", 0.002, 0.99)
EID_ELSEWHERE = Evidence("the EID is on another animal", 1e-6, 0.5)
VID_ALONE = Evidence("is the only one with this visual tag", 0.96, 6e-5)
VID_SHARED = Evidence("is one of several with this visual tag", 0.96, 1.2e-4)
VID_CONTESTED = Evidence("wears this visual tag, as did one that came back that day", 0.5, 0.01)
VID_BEFORE = Evidence("wore this visual tag before", 0.02, 5e-4)
VID_NEAR = Evidence("wears a visual tag one slip away", 0.02, 2e-3)
VID_OTHER = Evidence("wears another visual tag", 0.03, 0.97)
VID_ELSEWHERE = Evidence("the visual tag is on another animal", 1e-4, 0.5)
NUMBER_WORN = Evidence("wears this number", 0.95, 1e-7)
NUMBER_BEFORE = Evidence("wore this number before", 0.05, 1e-5)
TUBE_ITS = Evidence("this tube holds its sample", 0.99, 1e-6)
COLOUR_SAME = Evidence("the tag colour agrees", 0.95, 0.3)
COLOUR_OTHER = Evidence("the tag colour is another", 0.04, 0.7)
IN_GROUP = Evidence("is in the group that was worked", 0.95, 0.06)
NOT_IN_GROUP = Evidence("is not in the group that was worked", 0.02, 0.94)
SEEN = Evidence("was seen by the reader that day", 0.97, 0.4)
NOT_SEEN = Evidence("was not seen by the reader that day", 0.005, 0.6)
AWAY = Evidence("was not on hand that day", 0.005, 0.3)
OTHER_MINUTE = Evidence("was read at another minute", 0.005, 0.9)

# Accepted without a person from here on, and only so far ahead of the next best: at 12 bits a wrong acceptance
# is expected less than once in four thousand rows with that evidence alone.
ACCEPT_BITS = 12.0
MARGIN_BITS = 8.0


class Weighed(Protocol):
    """Something that evidence was weighed for."""

    @property
    def bits(self) -> float:
        """The weight of the evidence for it."""


Some = TypeVar("Some", bound=Weighed)


def bits_of(found: Sequence[Evidence]) -> float:
    """What pieces of evidence weigh together."""
    return sum([one.bits for one in found])


def accepted(candidates: Sequence[Some]) -> Some | None:
    """The best of candidates that come best first, where it is heavy enough and far enough ahead of the next."""
    if not candidates or candidates[0].bits < ACCEPT_BITS:
        return None
    if len(candidates) > 1 and candidates[0].bits - candidates[1].bits < MARGIN_BITS:
        return None
    return candidates[0]
