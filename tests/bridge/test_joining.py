"""Numbers and weights are joined by the stated rule; what is not certain is never joined."""

from collections import Counter
from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.bridge.joining import NO_NUMBER, NO_WEIGHT, NOBODY, TWO_NUMBERS, TWO_WEIGHTS, Joining, Kind, Rule, Where
from tests.bridge.saying import FIRST, SECOND, THIRD


@dataclass
class Walk:
    """Walks one joining through a story: `n:FIRST`, `on`, `w`, `off`, `+SECONDS`; keys count up from 1."""

    joining: Joining
    at: float = 0.0
    key: int = 0
    outcomes: list = field(default_factory=list)
    numbers: dict = field(default_factory=dict)

    def step(self, word: str) -> None:
        self.at += 0.1
        if word.startswith("+"):
            self.at += float(word[1:])
            self.outcomes += self.joining.tick(self.at)
        elif word == "on":
            self.outcomes += self.joining.loaded(self.at)
        elif word == "off":
            self.outcomes += self.joining.cleared(self.at)
        elif word == "w":
            self.key += 1
            self.outcomes += self.joining.weighed(f"w{self.key}", self.at)
        else:
            self.key += 1
            self.numbers[f"n{self.key}"] = word
            self.outcomes += self.joining.number(f"n{self.key}", word, self.at)


def tell(story: list[str], where: Where = Where.AT, *, to_end: bool = True) -> Walk:
    walk = Walk(Joining(Rule(where)))
    for word in story:
        walk.step(word)
    if to_end:
        walk.outcomes += walk.joining.close(walk.at)
    return walk


def short(walk: Walk) -> list[str]:
    return [
        f"{one.key}={one.number}" if one.kind is Kind.JOINED else f"{one.key} {one.kind.value}" for one in walk.outcomes
    ]


@pytest.mark.parametrize(
    "story",
    [[FIRST, "on", "w", "off"], ["on", FIRST, "w", "off"], ["on", "w", FIRST, "off"]],
    ids=["before stepping on", "before the weight", "after the weight"],
)
def test_at_the_scale_the_order_of_number_and_weight_is_free(story):
    walk = tell(story)
    assert [one.kind for one in walk.outcomes] == [Kind.JOINED, Kind.SEALED]


def test_double_reads_of_one_animal_are_one_reading():
    assert short(tell([FIRST, FIRST, "on", FIRST, "w", FIRST, "off", FIRST])) == [
        "n2 repeat", "n3 repeat", "w4=n1", "n5 repeat", "w4 sealed", "n6 repeat",
    ]  # fmt: skip


def test_an_animal_read_again_long_after_is_read_anew():
    assert short(tell([FIRST, "on", "w", "off", "+200", FIRST, "on", "w", "off"]))[2:] == ["w4=n3", "w4 sealed"]


def test_a_second_number_on_the_scale_takes_the_pair_apart():
    walk = tell(["on", FIRST, "w", SECOND, SECOND, "off"])
    assert short(walk) == ["w2=n1", "w2 apart", "n3 kept", "n4 repeat"]
    assert {one.reason for one in walk.outcomes if one.kind in {Kind.APART, Kind.KEPT}} == {TWO_NUMBERS}


def test_two_numbers_before_the_weight_are_not_chosen_from():
    assert short(tell([FIRST, SECOND, "on", "w", "off"])) == ["n1 kept", "n2 kept", "w3 kept"]


def test_a_second_weight_without_an_empty_scale_takes_the_pair_apart():
    walk = tell(["on", FIRST, "w", "w", "w", "off"])
    assert short(walk) == ["w2=n1", "w2 apart", "w3 kept", "w4 kept"]
    assert walk.outcomes[-1].reason == TWO_WEIGHTS


def test_the_next_animal_is_a_turn_of_its_own():
    assert short(tell(["on", FIRST, "w", "off", "on", "w", SECOND, "off"])) == [
        "w2=n1", "w2 sealed", "w3=n4", "w3 sealed",
    ]  # fmt: skip


def test_a_missed_tag_leaves_the_next_animals_number_alone():
    walk = tell(["on", "w", "off", SECOND, "on", "w", "off"])
    assert short(walk) == ["w1 kept", "w3=n2", "w3 sealed"]
    assert walk.outcomes[0].reason == NO_NUMBER


def test_a_number_without_a_weight_is_kept_after_its_time():
    walk = tell([FIRST, "+31"], to_end=False)
    assert [(one.kind, one.reason) for one in walk.outcomes] == [(Kind.KEPT, NO_WEIGHT)]


def test_ahead_of_the_scale_a_number_is_never_that_of_the_animal_on_it():
    walk = tell(["on", SECOND, "w", "off", "on", "w", "off"], Where.AHEAD)
    assert short(walk) == ["w2 kept", "w3=n1", "w3 sealed"]


def test_behind_the_scale_a_number_is_that_of_the_one_that_left_last():
    story = [THIRD, "on", "w", "off", "on", FIRST, "w", "off", SECOND]
    walk = tell(story, Where.BEHIND)
    assert short(walk) == ["n1 kept", "w2=n3", "w2 sealed", "w4=n5", "w4 sealed"]
    assert walk.outcomes[0].reason == NOBODY


def test_behind_the_scale_a_weight_waits_no_longer_than_its_time():
    assert short(tell(["on", "w", "off", "+31", FIRST], Where.BEHIND)) == ["w1 kept", "n2 kept"]


words = st.sampled_from([FIRST, SECOND, THIRD, "on", "off", "w", "+1", "+20", "+60", "+200"])


@given(st.lists(words, max_size=60), st.sampled_from(list(Where)))
def test_whatever_happens_every_reading_comes_to_one_end(story, where):
    walk = tell(story, where)
    ends: Counter[str] = Counter()
    joined: dict[str, str] = {}
    for one in walk.outcomes:
        if one.kind is Kind.JOINED:
            assert one.key not in joined
            assert one.number not in joined.values()
            joined[one.key] = one.number
        elif one.kind in {Kind.SEALED, Kind.APART}:
            # Only what was joined is sealed or taken apart, and once.
            ends.update([one.key, joined.pop(one.key)])
        else:
            ends[one.key] += 1
    assert joined == {}
    everything = {f"{'n' if f'n{key}' in walk.numbers else 'w'}{key}" for key in range(1, walk.key + 1)}
    assert ends == Counter(everything)


moments = st.sampled_from(["before", "on", "after"])
moments = st.sampled_from(["before", "on", "after"])
turns = st.lists(st.tuples(moments, st.integers(0, 2), st.integers(1, 3)), max_size=12)


@given(turns)
def test_with_one_number_to_a_turn_each_weight_gets_its_own_and_no_other(plan):
    """A day at the chute, a new animal each turn: read at any moment, several times, by none or two numbers."""
    story, truth = [], []
    for place, (moment, numbers, repeats) in enumerate(plan):
        reads = [f"8402700{place:04}{one:04}" for one in range(numbers) for _ in range(repeats)]
        parts = {"before": [], "on": [], "after": []} | {moment: reads}
        story += [*parts["before"], "on", *parts["on"], "w", *parts["after"], "off", "+40"]
        truth.append(reads[0] if numbers == 1 else None)
    walk = tell(story)
    sealed = {one.key for one in walk.outcomes if one.kind is Kind.SEALED}
    pairs = [walk.numbers[one.number] for one in walk.outcomes if one.kind is Kind.JOINED and one.key in sealed]
    assert pairs == [one for one in truth if one]
