"""Finding the delimiter, quote and escape of a text sample by how even and how clean the cells come out."""

import re
from collections import Counter
from collections.abc import Iterator

from herd.intake.reading.cells import CODE, DATE, EMPTY, MISSING, NUMBER, is_rule, kind_of
from herd.intake.reading.records import RecordReader
from herd.intake.reading.spelling import CLOSERS, Spelling

_TYPED = frozenset({NUMBER, DATE, CODE, EMPTY, MISSING})
_LINES = 100
_LONG = 8_000
_WEIGHTS = {
    ",": 1.0,
    ";": 1.0,
    "\t": 1.02,
    "|": 1.0,
    "\x1f": 1.0,
    "\x01": 1.0,
    "\x1e": 1.0,
    "§": 0.97,
    "¦": 0.97,
    "^": 0.95,
    "~": 0.95,
    "¬": 0.95,
    "!": 0.8,
    "#": 0.8,
    "*": 0.75,
    "&": 0.7,
    "@": 0.7,
    "$": 0.7,
    "%": 0.7,
    ":": 0.6,
    "/": 0.55,
    "=": 0.6,
    "_": 0.45,
    "-": 0.4,
    ".": 0.3,
    " ": 0.62,
}
_QUOTES = "\"'`“„«‘"
_RARE_QUOTES = frozenset("`“”„«»")
_PACKED = re.compile(r"[^\s,;|\t]*[,;|\t][^\s,;|\t]*[,;|\t]\S")
_COLONS = re.compile(r"\S:\S.*\S:\S.*\S:\S")
# In prose a semicolon has a space behind it.
_OTHER_SIGN = re.compile(r"[\t|]|;(?! )")
# An EID with something behind it, or a number with more decimals than any scale has, is two cells.
_TWO_CELLS = re.compile(r"[0-9]{9,}[,;|\t]\S|[0-9]+[,;|\t][0-9]{4,}$")
_PLAIN_TEXT = re.compile(r"[\w\s.,:'’()/&%+#°*!?-]*")


def spelling_of(lines: list[str], forced: str | None = None) -> Spelling:
    """The way of writing that cuts the sample's lines into the evenest, cleanest table; never fails.

    `forced` is the delimiter that the file itself names in a first line such as sep=;
    """
    written = [line for line in lines if line.strip()]
    sample = [line for line in written if len(line) <= _LONG][:_LINES] or [line[:_LONG] for line in written[:2]]
    # Remarks and ruled lines say nothing about how the table is cut.
    sample = [line for line in sample if not line.startswith("#") and not is_rule([line.strip()])] or sample
    quote = _common_quote(sample)
    candidates = [each for each in _candidates(sample) if not forced or each.delimiter == forced]
    # Most candidates fail on a few lines already; only the better ones are tried on the whole sample.
    few = sample[:10] + sample[len(sample) // 2 : len(sample) // 2 + 20]
    ranked = sorted(candidates, key=lambda each: _score(few, each), reverse=True)[:6]
    best = max(ranked, key=lambda each: _score(sample, each), default=None)
    return best if best and _score(sample, best) > 0 else Spelling("", quote, quote)


def _candidates(sample: list[str]) -> Iterator[Spelling]:
    text = "".join(sample)
    for delimiter in ["", *_delimiters(sample, text)]:
        for quote in _quotes(text, delimiter):
            for escape in _escapes(text, delimiter, quote):
                yield Spelling(delimiter, quote, escape)
    if "  " in text and "\t" not in text:
        yield Spelling("  ", "", "", runs=True)
        edges = _edges(sample)
        if len(edges) > 1:
            yield Spelling("  ", "", "", edges=edges)
    if text.count(" ") > len(sample) and re.search(r"\S {2,}\S", text):
        yield Spelling(" ", '"', '"', runs=True)


def _delimiters(sample: list[str], text: str) -> list[str]:
    found = []
    for sign in _WEIGHTS:
        count = text.count(sign)
        if count == 0 or count < len(sample) * 0.4:
            continue
        found.append(sign)
        if sign == " ":
            continue
        after = Counter(text[at + 1 : at + 2] for at in _places(text, sign))
        if after[" "] >= 0.6 * count:
            found.append(sign + " ")
            if text.count(" " + sign + " ") >= 0.6 * count:
                found.append(" " + sign + " ")
        for length in (2, 3):
            if all(len(run) % length == 0 for run in re.findall(f"{re.escape(sign)}+", text)):
                found = [*(each for each in found if each != sign), sign * length]
    found += [pair for pair in ("|~|", "~|~", "<>", "=>", "->", ";|", ",|", "^|", "|^", "#|#") if pair in text]
    return found


def _places(text: str, sign: str) -> Iterator[int]:
    at = text.find(sign)
    while at >= 0:
        yield at
        at = text.find(sign, at + 1)


def _common_quote(sample: list[str]) -> str:
    text = "".join(sample)
    return max('"“„«', key=text.count) if text else '"'


def _quotes(text: str, delimiter: str) -> list[str]:
    """Quotes that open and close cells often enough; the double quote is always among them."""
    part = re.escape(delimiter) if delimiter else "(?!)"
    found = ['"']
    for quote in _QUOTES[1:]:
        if quote not in text:
            continue
        closer = CLOSERS[quote]
        inner = re.escape(quote)
        whole = rf"(?:(?<={part})|^) *{inner}[^\r\n]*?{re.escape(closer)} *(?=$|{part})"
        if delimiter == "":
            whole = rf"^{inner}[^\r\n]*{re.escape(closer)}$"
        wrapped = len(re.findall(whole, text.replace("\r\n", "\n").replace("\r", "\n"), re.MULTILINE))
        if wrapped >= 2 or (wrapped and wrapped * 2 >= text.count(quote)):
            found.append(quote)
    return found


def _escapes(text: str, delimiter: str, quote: str) -> list[str]:
    if quote + quote not in text and "\\" not in text:
        return [quote if '"' in quote or quote == CLOSERS.get(quote) else ""]
    slashes = len(re.findall(r"\\" + re.escape(quote), text))
    escaped_delimiters = len(re.findall(r"\\" + re.escape(delimiter), text)) if delimiter.strip() else 0
    found = [quote]
    if slashes or escaped_delimiters:
        found.append("\\")
    return found


def _edges(sample: list[str]) -> tuple[int, ...]:
    """Starts of columns set in fixed places: characters that are blank in nearly all lines part them."""
    lines = [line.rstrip("\r\n") for line in sample if re.search(r"\S {2,}\S", line)][:120]
    if len(lines) < 3 or len(lines) < 0.6 * len(sample):
        return ()
    width = max(len(line) for line in lines)
    if width > 2_000:
        return ()
    inked = [any(line[at : at + 1].strip() for line in lines) for at in range(width)]
    starts = [at for at in range(width) if inked[at] and (at == 0 or not inked[at - 1])]
    kept = [start for start in starts[1:] if not _is_gap_in_words(lines, start, inked, starts)]
    return (0, *kept) if starts else ()


def _is_gap_in_words(lines: list[str], start: int, inked: list[bool], starts: list[int]) -> bool:
    """True when the column begins only because spaces between words happen to stand under each other."""
    end = next((each for each in starts if each > start), len(inked))
    if start < 2 or not inked[start - 2]:
        return False
    return not lines[0][start:end].strip() or not any(line[start:end].strip() for line in lines[1:])


def _score(sample: list[str], spelling: Spelling) -> float:
    """Evenness of the records times cleanliness of the cells, from 0 to about 1."""
    reader = RecordReader(spelling, longest=10)
    records = [record for record in reader.records(sample) if any(cell.strip() for cell in record.cells)]
    if not records:
        return 0.0
    widths = Counter(len(record.cells) for record in records)
    usual, count = max(widths.items(), key=lambda item: (item[1] * (1 if item[0] > 1 else 0.6), item[0]))
    if spelling.delimiter and usual == 1:
        return 0.0
    even = count / len(records)
    rest = max((each for width, each in widths.items() if width not in (1, usual)), default=0) / len(records)
    if usual > 1 and rest > 0.15:
        even += 0.7 * rest
    body = [record.cells for record in records if len(record.cells) == usual]
    clean = sum(_cleanliness(cell, spelling) for cells in body for cell in cells) / (usual * len(body))
    idle = sum(1 for place in range(usual) if not any(cells[place].strip() for cells in body))
    clean *= 1 - 0.5 * idle / usual
    sign = spelling.delimiter.strip(" ")[:1] or spelling.delimiter[:1]
    weight = _WEIGHTS.get(sign, 0.9)
    if spelling.delimiter == " " and usual > 2:
        weight = 0.85
    if spelling.delimiter == "  ":
        weight = 0.93 if spelling.edges else 0.9
    if spelling.quote not in ("", '"') or spelling.escape == "\\":
        clean *= 0.995
    if not spelling.delimiter:
        weight = 1.0
    lost = 1.0 - sum(record.span - 1 for record in records) / (4 * max(1, len(sample)))
    return even**1.5 * clean * weight * lost * usual / (usual + 1)


def _cleanliness(cell: str, spelling: Spelling) -> float:
    """How much a cell looks like one cell well cut, from 0 to 1."""
    cell = cell[:300]
    if cell[:1] in _RARE_QUOTES or cell[-1:] in _RARE_QUOTES:
        return 0.4
    if not spelling.delimiter and _TWO_CELLS.match(cell):
        return 0.05
    padding = 0.97 if cell != cell.strip() else 1.0
    if kind_of(cell) in _TYPED and not _is_cut(cell, spelling):
        return padding
    return min(_quote_cleanliness(cell, spelling), _text_cleanliness(cell, spelling) * padding)


def _quote_cleanliness(cell: str, spelling: Spelling) -> float:
    if (spelling.quote != '"' and cell.count('"') == 1) or ('\\"' in cell and spelling.escape != "\\"):
        return 0.5
    if cell.count('"') > 1:
        return 0.6
    return 0.4 if cell[:1] in _QUOTES or cell.rstrip()[-1:] in "\"'`”»" else 1.0


def _text_cleanliness(cell: str, spelling: Spelling) -> float:
    if spelling.delimiter == " " and cell[-1:] in ",;":
        return 0.4
    if not spelling.delimiter and (_PACKED.search(cell) or _COLONS.search(cell)):
        return 0.35
    if _OTHER_SIGN.search(cell):
        return 0.55
    if _PLAIN_TEXT.fullmatch(cell):
        return 0.85 if "," in cell else 0.92
    return 0.8


def _is_cut(cell: str, spelling: Spelling) -> bool:
    # A code such as 840;12;x is several cells of another delimiter that were not told apart.
    signs = ";|\t" if spelling.delimiter in ";|\t" and spelling.delimiter else ",;|\t"
    return any(sign in cell for sign in signs if sign != spelling.delimiter) and kind_of(cell) == CODE
