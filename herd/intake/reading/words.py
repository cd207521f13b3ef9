"""Words field files use for columns, units and footers, in several languages (common practice, no source)."""

import re

_COLUMN_WORDS = """
    eid rfid vid id tag tags ear eartag ohrmarke ohrmarkennummer lom boucle caravana arete crotal brinco
    marca animal animals cow cows calf calves bull steer heifer dam sire sex breed colour color name
    number no nr num nro weight wt kg lb lbs adg gain birth born dob date time day month year age group
    pen lot pasture paddock mob herd status notes note comment comments remark remarks preg pregnancy
    test result sample tube head price amount total qty quantity code type class description product
    item station temp temperature humidity rain wind speed location site field unit value treatment dose
    drug withdrawal vet operator fecha hora peso sexo raza nombre numero número datum zeit uhrzeit
    gewicht geschlecht rasse geburt geburtsdatum farbe gruppe bemerkung tier tiernummer lebensnummer
    heure poids sexe race naissance couleur numéro remarque vache veau nacimiento madre padre lote
    potrero observaciones data ora razza nascita geslacht ras geboortedatum kleur groep opmerking nummer
    koe vikt kön födelsedatum grupp stall bcs score condition frame hip height scrotal visual electronic
    official nues pin premises owner brand id_number url link title author country city state region
    category rating
"""
HEADER_WORDS = frozenset(_COLUMN_WORDS.split())

_SPLIT = re.compile(r"[^\w]+|_|(?<=[a-zß-öø-ÿ])(?=[A-ZÀ-Ý])")


def header_words(cell: str) -> int:
    """How many words of the cell are words that columns are called by."""
    if len(cell) > 60:
        return 0
    return sum(1 for word in _SPLIT.split(cell) if word.lower() in HEADER_WORDS)


_UNIT = re.compile(
    r"[\[(]?(?:kg|g|lbs?|pounds?|cm|mm|m|in|inch(?:es)?|ft|km/?h|m/s|mph|°?\s?[CF]|%|hpa|mbar|days?|d|hours?|h|weeks?|months?|min|s|V|ml|cc|"
    r"iu|mg|eur|usd|\$|€|£|no\.?|n|yyyy-mm-dd|dd[./-]mm[./-]yy(?:yy)?|mm[./-]dd[./-]yy(?:yy)?|hh:mm(?::ss)?|"
    r"kg/d(?:ay)?|lbs?/d(?:ay)?|text|-|head|digits|date|m/f)[\])]?",
    re.IGNORECASE,
)


def is_units_row(cells: list[str]) -> bool:
    """True for a row under the header that holds nothing but units of measure and ways of writing dates."""
    written = [cell.strip() for cell in cells if cell.strip()]
    measures = [cell for cell in written if _UNIT.fullmatch(cell)]
    return bool(written) and len(measures) == len(written) and any(cell not in "-" for cell in written)


_FOOTERS = (
    r"(?:grand |sub)?totals?\b.*",
    r"sum\b\s*[:=]?.*",
    r"sums\b.*",
    r"(?:\w+ ){0,3}(?:sub)?(?:totals?|averages?|means?)\b.{0,20}",
    r"averages?\b.*",
    r"avg\b.*",
    r"mean\b.*",
    r"count\b\s*[:=].*",
    r"end of .*",
    r"\W*end\W*",
    r"eof\W*",
    r"page \d+.*",
    r"\d+ (?:records?|rows?|animals?|head|lines?|items?|entries)\b.*",
    r"(?:number of )?(?:records?|rows?|animals?|lines?|head|entries)\b.*[:=]\s*\d+.*",
    r"(?:printed|exported|generated|created|signed|signature|sign[- ]?off|copyright)\b.*",
    r"(?:checked|prepared|compiled|recorded) by\b.*",
    r"footnotes?\b.*",
    r"(?:notes?|sources?|media)\s*[:=].*",
    r"\*+\s?\w.*",
    r"report (?:ends|end|by)\b.*",
    r"©.*",
    r"(?:summe|gesamt\w*|ende|anzahl|mittelwert|durchschnitt|fin|moyenne|totaal|gemiddeld\w*|einde)\b.*",
    r"(?:promedio|suma|fim|totale)\b.*",
    r"(?:seite|página|pagina|blad) \d+.*",
    r"\(\d+ rows?.*\)",
    r"#\s?\w.*",
    r"\[\d+\] .*",
    r"this (?:report|list|file)\b.*",
    r"all (?:weights|figures|values)\b.*",
)
_FOOTER = re.compile("|".join(_FOOTERS), re.IGNORECASE | re.DOTALL)


def is_footer_text(text: str) -> bool:
    """True when a line begins as totals, page numbers, row counts, notes and ends of reports begin."""
    return bool(_FOOTER.fullmatch(text.strip()[:300]))


_PAGE = re.compile(r"\W*(?:page|seite|página|pagina|blad)\s+\d+(?:\s*(?:of|/|von|de|van|di)\s*\d+)?\W*", re.IGNORECASE)


def is_page_mark(text: str) -> bool:
    """True for a line that is only a page number."""
    return bool(len(text) < 60 and _PAGE.fullmatch(text))


_PREAMBLE = re.compile(
    r"(?:printed|exported|generated|created|report|produced|downloaded|run) .*|"
    r"[\w /]{2,30}:( .*|\s*)|#.*|//.*|sep=.|"
    r".*\b(?:report|list|export|summary|session)\b.*|(?:gedruckt|erstellt|impreso|imprimé)\b.*",
    re.IGNORECASE,
)


def is_preamble_text(text: str) -> bool:
    """True when a line reads like a title, a remark or a key with its value."""
    return bool(_PREAMBLE.fullmatch(text.strip()[:300]))
