"""The matcher's scoring core on records of persons, as the FEBRL sets have them.

The product's own: evidence with two probabilities that weighs log2(m / u) bits, bits added up, the best candidate
accepted from so many bits on and so far ahead of the next (herd.intake.matching.weights), numbers and words called
near when they are one slip apart (herd.values.nearness). The adapter's: which columns are compared, what m is for
each, and u of sameness, counted from how often the values of these very records agree. m is set by hand, from memory
of such sets and never from their truth, as the product's are for tags; nothing is learned.

What the product does not do here: its matcher knows tags, groups and days, not names and streets; a near word is one
slip, no string distance; where the same person may stand in a set three times and more, the margin to the next
candidate makes no sense, so that pairs are accepted by their bits alone.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from herd.intake.matching.weights import ACCEPT_BITS, Evidence, accepted, bits_of
from herd.values.nearness import is_near

Person = Mapping[str, str]
Pair = tuple[str, str]

# Column: how often it is the same on two records of one person, and how often one slip away.
SAME_AND_NEAR = {
    "soc_sec_id": (0.88, 0.09),
    "date_of_birth": (0.88, 0.08),
    "given_name": (0.75, 0.10),
    "surname": (0.80, 0.12),
    "street_number": (0.82, 0.05),
    "address_1": (0.75, 0.12),
    "address_2": (0.70, 0.10),
    "suburb": (0.75, 0.12),
    "postcode": (0.82, 0.10),
    "state": (0.90, 0.04),
}
# Two records are looked at where one of these columns is the same on both; the peers search by the same columns.
BLOCKS = ("soc_sec_id", "date_of_birth", "given_name", "surname", "postcode")
# So many more pairs of strangers are one slip apart than agree, for words and numbers of this length.
NEAR_TO_SAME = 3.0


@dataclass(frozen=True, slots=True)
class Likeness:
    """Another record and the weight of what speaks for its being the same person."""

    key: str
    bits: float


class Persons:
    """Records of persons with the evidence that each column gives."""

    def __init__(self, records: Mapping[str, Person]) -> None:
        self.records = records
        self.evidence = {column: _evidence(column, records.values()) for column in SAME_AND_NEAR}

    def bits(self, one: str, other: str) -> float:
        """The weight of all that speaks for and against two records being of one person."""
        return bits_of(list(self._found(self.records[one], self.records[other])))

    def _found(self, one: Person, other: Person) -> Iterator[Evidence]:
        for column, (same, near, unlike) in self.evidence.items():
            left, right = one[column], other[column]
            if left and right:
                yield same if left == right else near if is_near(left, right) else unlike

    def blocks(self, keys: Iterable[str]) -> Iterator[list[str]]:
        """Groups of records in which a column to search by is the same."""
        listed = list(keys)
        for column in BLOCKS:
            groups = defaultdict(list)
            for key in listed:
                if value := self.records[key][column]:
                    groups[value].append(key)
            yield from (group for group in groups.values() if len(group) > 1)

    def pairs(self) -> set[Pair]:
        """Pairs within the set that are accepted by their bits."""
        seen = {pair for group in self.blocks(sorted(self.records)) for pair in combinations(group, 2)}
        return {pair for pair in seen if self.bits(*pair) >= ACCEPT_BITS}

    def links(self, ours: Iterable[str], theirs: Iterable[str]) -> set[Pair]:
        """For each record of one set the one of the other that is accepted alone, as a row gets its animal."""
        left = set(ours)
        likenesses: dict[str, set[str]] = defaultdict(set)
        for group in self.blocks([*left, *theirs]):
            mine = [key for key in group if key in left]
            others = [key for key in group if key not in left]
            for key in others:
                likenesses[key].update(mine)
        found = set()
        for key, candidates in likenesses.items():
            weighed = sorted((Likeness(one, self.bits(one, key)) for one in candidates), key=lambda one: -one.bits)
            if best := accepted(weighed):
                found.add((best.key, key))
        return found


def _evidence(column: str, records: Iterable[Person]) -> tuple[Evidence, Evidence, Evidence]:
    counts = Counter(record[column] for record in records if record[column])
    agree = sum(count * count for count in counts.values()) / sum(counts.values()) ** 2
    same, near = SAME_AND_NEAR[column]
    near_u = min(0.5, NEAR_TO_SAME * agree)
    return (
        Evidence(f"{column} agrees", same, agree),
        Evidence(f"{column} is one slip away", near, near_u),
        Evidence(f"{column} differs", 1 - same - near, 1 - agree - near_u if agree + near_u < 1 else 0.05),
    )
