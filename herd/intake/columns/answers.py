"""Words of a herd list for an animal's status, and words for yes and no, in five languages."""

from typing import Literal

from herd.values.cells import fold
from herd.values.damage import refuse_spreadsheet_marks
from herd.values.problems import Unreadable, shown

Status = Literal["on_hand", "sold", "dead", "missing", "transferred"]

# Dictionary words; the short forms are common practice, no source. Words that leave open whether the animal
# was sold, died or still stands there (culled, slaughtered, lost) are left to a person.
_STATUS: dict[Status, str] = {
    "on_hand": "on hand|active|act|a|alive|live|living|present|in herd|herd|current|here|keep|kept|retained"
    "|owned|ok|in|activo|activa|vivo|viva|presente|en hato|actif|active|present|presente|vivant"
    "|vivante|aktiv|lebend|vorhanden|im bestand|ativo|ativa|no rebanho",
    "sold": "sold|s|sale|shipped|marketed|vendido|vendida|vendu|vendue|verkauft",
    "dead": "dead|died|d|deceased|euthanized|euthanised|put down|muerto|muerta|mort|morte"
    "|morto|morta|tot|verendet|gestorben|eingegangen",
    "missing": "missing|not found|strayed|stolen|perdido|perdida|extraviado"
    "|extraviada|perdu|perdue|disparu|disparue|vermisst|fehlt|fehlend|desaparecido|desaparecida",
    "transferred": "transferred|transfer|moved out|loaned|leased out|transferido|transferida|trasladado"
    "|trasladada|transfere|transferee|umgestellt|abgegeben",
}
_STATUS_OF: dict[str, Status] = {word: status for status, words in _STATUS.items() for word in words.split("|")}
_YES_WORDS = (
    "y yes yep x xx 1 true ok done si s oui ja j sim \u2713 \u2714 \u2611 + given weaned wean"
    " destetado destetada sevre sevree abgesetzt desmamado desmamada castrated castrado castre kastriert"
    " steered dead died muerto muerta mort morte tot verendet morto morta sold vendido vendida vendu"
    " vendue verkauft"
)
_NO_WORDS = (
    "n no nope 0 false f not none non nein nao \u2717 \u2718 \u2610 - alive live living vivo viva vivant"
    " lebend intact entero"
)
_METHOD_WORDS = "banded|band|bands|cut|knife|clamped|clamp|ring|ringed|rubber ring|elastic|surgical|crushed|emasculated"
_YES, _NO = frozenset(_YES_WORDS.split()), frozenset(_NO_WORDS.split())
_METHODS = frozenset(_METHOD_WORDS.split("|"))


def read_status(text: str) -> Status:
    """The status a word of a herd list stands for; raises Unreadable for words not known."""
    refuse_spreadsheet_marks(text.strip())
    word = fold(text).rstrip(".")
    if word not in _STATUS_OF:
        reason = f"{shown(text)} is not a status known here: active, sold, dead, missing or transferred."
        raise Unreadable(text, "unknown_status", reason)
    return _STATUS_OF[word]


def answer_of(text: str) -> bool | None:
    """True for a word or mark of yes, False for no, None for anything else."""
    word = fold(text).rstrip(".!")
    if word in _YES:
        return True
    return False if word in _NO else None


def castration_method(text: str) -> str:
    """The way of castrating that a word names (banded, cut, ...), empty when it names none."""
    word = fold(text)
    return word if word in _METHODS else ""
