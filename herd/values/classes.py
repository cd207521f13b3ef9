"""Class and sex of an animal as one word in a cell, in five languages."""

from dataclasses import dataclass
from enum import StrEnum

from herd.values.cells import fold, is_missing
from herd.values.damage import refuse_spreadsheet_marks
from herd.values.problems import Unreadable, shown


class AnimalClass(StrEnum):
    """The classes in which cattle are counted."""

    COW = "cow"
    BULL = "bull"
    HEIFER = "heifer"
    STEER = "steer"


class Sex(StrEnum):
    """The sexes; a steer is male."""

    FEMALE = "female"
    MALE = "male"


@dataclass(frozen=True, slots=True)
class ClassReading:
    """What a word says: the class, the sex, and whether it is a calf; None where the word leaves it open."""

    animal_class: AnimalClass | None
    sex: Sex | None
    is_calf: bool = False


# Words are dictionary words of English, Spanish, French, German and Portuguese; the short forms are common
# practice, no source.
_WORDS: tuple[tuple[AnimalClass | None, Sex | None, bool, str], ...] = (
    (AnimalClass.COW, Sex.FEMALE, False, "cow|cows|vaca|vacas|vache|vaches|kuh|kuhe|kuehe"),
    (
        AnimalClass.BULL,
        Sex.MALE,
        False,
        "bull|bulls|b|bl|herd bull|toro|toros|torete|taureau|taureaux|taurillon"
        "|bulle|bullen|stier|touro|touros",
    ),
    (
        AnimalClass.HEIFER,
        Sex.FEMALE,
        False,
        "heifer|heifers|hfr|hfrs|h|first calf heifer|bred heifer|replacement heifer"
        "|vaquilla|vaquillona|novilla|genisse|genisses|farse|faerse|kalbin|novilha|novilhas",
    ),
    (
        AnimalClass.STEER,
        Sex.MALE,
        False,
        "steer|steers|str|strs|s|ox|oxen|castrated male|novillo|novillos|buey|bouvillon"
        "|boeuf|bœuf|ochse|ochsen|boi|bois|novilho|novilhos|castrado|castre",
    ),
    (None, None, True, "calf|calves|clf|veau|veaux|kalb|kalber|kaelber"),
    (
        AnimalClass.BULL,
        Sex.MALE,
        True,
        "bull calf|bull calves|bc|b calf|bull-calf|becerro|ternero|veau male"
        "|bullenkalb|stierkalb|bezerro|terneiro",
    ),
    (
        AnimalClass.HEIFER,
        Sex.FEMALE,
        True,
        "heifer calf|heifer calves|hc|h calf|hfr calf|heifer-calf|becerra|ternera|veau femelle"
        "|velle|kuhkalb|farsenkalb|bezerra|terneira",
    ),
    (AnimalClass.STEER, Sex.MALE, True, "steer calf|steer calves|sc|s calf|str calf|steer-calf"),
    (None, Sex.MALE, False, "male|m|macho|mâle|männlich|mannlich|maennlich"),
    (None, Sex.FEMALE, False, "female|f|fem|hembra|femelle|weiblich|fêmea"),
)
_READINGS = {
    fold(word): ClassReading(animal_class, sex, is_calf)
    for animal_class, sex, is_calf, words in _WORDS
    for word in words.split("|")
}


def read_class(text: str) -> ClassReading:
    """The class and sex that a cell names; raises Unreadable for words not known.

    "m" and "f" give only a sex, "calf" neither. A Spanish, French or Portuguese word for a male calf is read
    as a bull calf, since it says nothing of castration.
    """
    if is_missing(text):
        raise Unreadable(text, "empty", "The class is empty.")
    refuse_spreadsheet_marks(text.strip())
    reading = _READINGS.get(fold(text).rstrip("."))
    if reading is None:
        reason = f"{shown(text)} is not a class of cattle: cow, bull, heifer, steer or a calf of these."
        raise Unreadable(text, "unknown_class", reason)
    return reading
