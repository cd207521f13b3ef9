"""Clean invented tables of different character, the same for the same seed, to be polluted later."""

import random
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CleanTable:
    """A table of text as it should come back from reading."""

    name: str
    header: list[str]
    rows: list[list[str]]


BREEDS = ["Angus", "Hereford", "Charolais", "Simmental", "Red Poll", "Galloway"]
COLOURS = ["black", "red", "white face", "dun", "brindle"]
PENS = ["North 1", "North 2", "Creek", "Home pen"]
ADJECTIVES = [
    "calm",
    "lame",
    "wild",
    "quiet",
    "thin",
    "strong",
    "heavy",
    "slow",
    "bright",
    "dull",
    "rough",
    "sound",
    "young",
    "old",
    "late",
    "early",
]
NOUNS = [
    "fence",
    "gate",
    "creek",
    "barn",
    "chute",
    "trough",
    "ridge",
    "valley",
    "trailer",
    "scale",
    "bunk",
    "windmill",
    "corral",
    "meadow",
    "slope",
    "shed",
]
VERBS = [
    "checked",
    "moved",
    "mended",
    "weighed",
    "watered",
    "sorted",
    "fed",
    "counted",
    "marked",
    "opened",
    "closed",
    "cleaned",
]


def _sentence(dice: random.Random, words: int) -> str:
    parts = [dice.choice((ADJECTIVES, NOUNS, VERBS)[place % 3]) for place in range(words)]
    return " ".join(parts).capitalize()


def _day(dice: random.Random) -> str:
    return f"20{dice.randint(19, 25)}-{dice.randint(1, 12):02d}-{dice.randint(1, 28):02d}"


def cattle(dice: random.Random, count: int) -> CleanTable:
    header = ["EID", "VID", "Sex", "Breed", "Birth date", "Weight kg", "ADG", "Pen", "Preg", "Notes"]
    rows = [
        [
            str(840270000000000 + dice.randint(1, 10**9)),
            f"{dice.choice('KLMN')}{place:03d}",
            dice.choice("MFS"),
            dice.choice(BREEDS),
            _day(dice),
            str(dice.randint(180, 720)),
            f"{dice.uniform(0.2, 1.9):.2f}",
            dice.choice(PENS),
            dice.choice(["open", "bred", "", "60 days"]),
            dice.choice(["", "", _sentence(dice, 3)]),
        ]
        for place in range(count)
    ]
    return CleanTable("cattle", header, rows)


def products(dice: random.Random, count: int) -> CleanTable:
    header = [
        "DAY",
        "TIME",
        "Qty",
        "ARTICLEID",
        "Price",
        "ArticleKind",
        "ArticleText",
        "LINK",
        "Remark",
        "Shelf",
    ]
    rows = [
        [
            f"{dice.randint(1, 28):02d}/{dice.randint(1, 12):02d}/20{dice.randint(18, 25)}",
            f"{dice.randint(0, 23):02d}:{dice.randint(0, 59):02d}",
            str(dice.randint(1, 40)),
            f"A{dice.randint(100, 999)}-{dice.randint(10, 99)}",
            f"${dice.randint(1, 900)}.{dice.randint(0, 99):02d}",
            dice.choice(["Panel", "Gate", "Feed", "Wire"]),
            _sentence(dice, 4) + (", " + _sentence(dice, 2) if dice.random() < 0.4 else ""),
            f"http://shop.example/{dice.randint(1000, 9999)}",
            dice.choice(["", 'Says "as new"', "Left over; ask first", "N/A"]),
            f"S-{dice.randint(1, 9)}",
        ]
        for _ in range(count)
    ]
    return CleanTable("products", header, rows)


def weather(dice: random.Random, count: int) -> CleanTable:
    header = ["station", "day", "hour", "temp_c", "humidity", "rain_mm", "wind", "gust", "cloud", "quality"]
    rows = [
        [
            dice.choice(["Ridge", "Creek", "Yard"]),
            _day(dice),
            str(dice.randint(0, 23)),
            f"{dice.uniform(-12, 35):.1f}",
            str(dice.randint(20, 100)),
            f"{dice.uniform(0, 12):.1f}",
            f"{dice.uniform(0, 20):.1f}",
            dice.choice(["", f"{dice.uniform(5, 30):.1f}"]),
            f"{dice.randint(0, 8)}/8",
            dice.choice(["ok", "ok", "suspect"]),
        ]
        for _ in range(count)
    ]
    return CleanTable("weather", header, rows)


def wordy(dice: random.Random, count: int) -> CleanTable:
    header = [
        "Entry",
        "Written on",
        "Heading",
        "Long text",
        "Second text",
        "Place",
        "Mood",
        "Answer",
        "Said",
        "End",
    ]
    rows = [
        [
            str(place + 1),
            _day(dice),
            _sentence(dice, 2),
            f"{_sentence(dice, 6)}, {_sentence(dice, 4)}; then {_sentence(dice, 3)}.",
            f'They said "{_sentence(dice, 3)}", and left' if dice.random() < 0.5 else _sentence(dice, 5),
            dice.choice(PENS),
            dice.choice(ADJECTIVES),
            dice.choice(["yes", "no"]),
            f"It's {_sentence(dice, 2)}" if dice.random() < 0.3 else "",
            _sentence(dice, 1),
        ]
        for place in range(count)
    ]
    return CleanTable("wordy", header, rows)


def categories(dice: random.Random, count: int) -> CleanTable:
    header = ["Breed", "Colour", "Pasture", "Temper", "Horns", "Coat", "Gait", "Origin", "Use", "Frame"]
    pools = [
        BREEDS,
        COLOURS,
        PENS,
        ["calm", "wild"],
        ["polled", "horned", "scurred"],
        ["short", "long"],
        ["sound", "stiff"],
        ["home bred", "bought"],
        ["breeding", "beef"],
        ["small", "medium", "large"],
    ]
    return CleanTable("categories", header, [[dice.choice(pool) for pool in pools] for _ in range(count)])


def phrases(dice: random.Random, count: int) -> CleanTable:
    header = [
        "Title",
        "Place",
        "First word",
        "Second word",
        "Task",
        "Tool",
        "Helper beast",
        "Weather",
        "Result",
        "Next",
    ]
    return CleanTable("phrases", header, [[_sentence(dice, dice.randint(1, 4)) for _ in header] for _ in range(count)])


def figures(dice: random.Random, count: int) -> CleanTable:
    header = ["W1", "W2", "W3", "Gain", "Rate", "Feed", "Days", "Cost", "Score", "Index"]
    rows = [
        [str(dice.randint(200, 700)) for _ in range(3)]
        + [f"{dice.uniform(0, 99):.2f}" for _ in range(4)]
        + [str(dice.randint(0, 9)) for _ in range(3)]
        for _ in range(count)
    ]
    return CleanTable("figures", header, rows)


def ohrmarken(dice: random.Random, count: int) -> CleanTable:
    header = [
        "Ohrmarke",
        "Stallnr",
        "Geschlecht",
        "Rasse",
        "Geburtsdatum",
        "Gewicht",
        "Tageszunahme",
        "Gruppe",
        "Färbung",
        "Bemerkung",
    ]
    rows = [
        [
            str(276000900000000 + dice.randint(1, 10**7)),
            str(dice.randint(1, 400)),
            dice.choice(["männlich", "weiblich"]),
            dice.choice(["Fleckvieh", "Gelbvieh", "Pinzgauer"]),
            f"{dice.randint(1, 28):02d}.{dice.randint(1, 12):02d}.20{dice.randint(18, 25)}",
            f"{dice.uniform(150, 700):.1f}".replace(".", ","),
            f"{dice.uniform(0, 2):.2f}".replace(".", ","),
            dice.choice(["Süd", "Nord", "Trächtig"]),
            dice.choice(["schwarz", "weiß", "rötlich"]),
            dice.choice(["", "für später", "prüfen"]),
        ]
        for _ in range(count)
    ]
    return CleanTable("ohrmarken", header, rows)


MAKERS = [cattle, products, weather, wordy, categories, phrases, figures, ohrmarken]


def clean_tables(seed: int = 5, count: int = 80) -> list[CleanTable]:
    """One table of every character."""
    return [maker(random.Random(f"{seed}-{maker.__name__}"), count) for maker in MAKERS]
