"""What a column's heading says: which kinds its words name, the unit and the purpose of a weight."""

import re
from dataclasses import dataclass
from functools import lru_cache

from herd.intake.columns.spellings import ANIMAL_WORDS, COUNT_WORDS, SPELLINGS, TAG_WORDS
from herd.values.cells import fold, strip_guards
from herd.values.weights import find_unit

_CAMEL = re.compile(r"(?<=[a-zß-öø-ÿ])(?=[A-ZÀ-Ý])|(?<=[A-Z])(?=[A-Z][a-z]{2})")
_WORD = re.compile(r"[a-z0-9]+|#")
_RESULT = re.compile(r"\b(?:test )?results?\b", re.IGNORECASE)
_UNITS = frozenset({"kg", "kgs", "lb", "lbs", "pounds", "cwt", "kilos"})
_FILLER_WORDS = "no nr num number numero nummer the of de del du des d la le el der die do da und y et e"
_FILLERS = frozenset(_FILLER_WORDS.split())
_RELATIVE_WORDS = "dam sire calf mother father madre padre mere pere mutter vater kalb mae pai veau"
_RELATIVES = frozenset(_RELATIVE_WORDS.split())
_PURPOSES = {
    "birth": "birth bwt birthweight nacer nacimiento naissance geburtsgewicht nascer nascimento",
    "weaning": "weaning wean ww wwt destete sevrage absetzgewicht desmama desmame",
    "yearling": "yearling yw ywt ano sobreano jahrlingsgewicht 365",
    "sale": "sale ship shipping pay venta vente verkaufsgewicht venda",
}
_PURPOSE_OF = {word: purpose for purpose, words in _PURPOSES.items() for word in words.split()}
_DISEASES = frozenset({"bvd", "johnes", "tb", "brucellosis", "trich", "anaplasmosis"})


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading says.

    `kinds` gives each kind its words name, with how wholly (0 to 1); `number` is "tag", "animal" or "count"
    when it names a number of an animal without saying which, else empty; `relative` is the dam, sire or calf
    it is about; `unit` is "lb", "kg" or None; `purpose` that of a weight; `test` a disease it names.
    """

    text: str
    kinds: dict[str, float]
    number: str = ""
    relative: str = ""
    unit: str | None = None
    purpose: str = ""
    test: str = ""

    @property
    def is_blank(self) -> bool:
        """Whether there is no heading at all."""
        return not self.text

    @property
    def is_known(self) -> bool:
        """Whether its words are known."""
        return bool(self.kinds or self.number)


def words_of(text: str) -> tuple[str, ...]:
    """The words of a heading: folded, split at capitals and at every mark that is no letter or digit."""
    bare = strip_guards(text).replace("'", " ").replace("\u2019", " ")
    return tuple(_WORD.findall(fold(_CAMEL.sub(" ", bare)))) or tuple(_WORD.findall(fold(bare)))


def _phrases(words: str) -> list[tuple[str, ...]]:
    return [words_of(word) for word in words.split("|")]


_KIND_PHRASES = {kind: _phrases(words) for kind, words in SPELLINGS.items()}
_NUMBER_PHRASES = {
    "tag": _phrases(TAG_WORDS),
    "animal": _phrases(ANIMAL_WORDS),
    "count": _phrases(COUNT_WORDS),
}


@lru_cache(maxsize=2048)
def read_heading(text: str) -> Heading:
    """What a heading says; an unknown or blank one says nothing."""
    shown_text = " ".join(strip_guards(text).split())
    words = words_of(shown_text)
    if not words:
        return Heading(shown_text, {})
    plain = tuple(word for word in words if word not in _UNITS) or words
    kinds = {kind: _best(plain, phrases) for kind, phrases in _KIND_PHRASES.items()}
    kinds = {kind: score for kind, score in kinds.items() if score}
    relative = next((word for word in words if word in _RELATIVES), "")
    unit = find_unit(shown_text)
    purpose = next((_PURPOSE_OF[word] for word in words if word in _PURPOSE_OF), "")
    test = _RESULT.sub("", shown_text).strip() if _DISEASES & set(words) else ""
    number = _number_word(plain, max(kinds.values(), default=0.0))
    return Heading(shown_text, kinds, number, relative, str(unit) if unit else None, purpose, test)


def _number_word(words: tuple[str, ...], best_kind: float) -> str:
    scores = {name: _best(words, phrases) for name, phrases in _NUMBER_PHRASES.items()}
    name = max(scores, key=lambda key: scores[key])
    return name if scores[name] >= 0.7 and scores[name] > best_kind else ""


def _best(words: tuple[str, ...], phrases: list[tuple[str, ...]]) -> float:
    return max((_likeness(words, phrase) for phrase in phrases), default=0.0)


def _likeness(words: tuple[str, ...], phrase: tuple[str, ...]) -> float:
    """1 for the same words, together or apart; less where the phrase is only a part of the heading."""
    if words == phrase or "".join(words) == "".join(phrase):
        return 1.0
    size = len(phrase)
    if size >= len(words) or not any(words[at : at + size] == phrase for at in range(len(words) - size + 1)):
        return 0.0
    telling = [word for word in words if word not in _FILLERS]
    matched = [word for word in phrase if word not in _FILLERS]
    if not matched:
        return 0.0
    return 0.55 + 0.4 * min(1.0, len(matched) / max(1, len(telling)))
