"""The letters of our PDFs: a free font that goes into the file, so that names print alike on every machine.

Source Sans Pro by Adobe, under the SIL Open Font License 1.1, which comes with the package. It has the letters of
all Latin, Greek and Cyrillic alphabets in common use, and figures of one width.
"""

import unicodedata

from font_source_sans_pro import font_files_ttf
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont

from herd.values.sheetcells import CONTROLS

TEXT, BOLD = "SourceSansPro", "SourceSansProBold"
_FACES = {name: TTFont(name, font_files_ttf[name]) for name in (TEXT, BOLD)}
for _face in _FACES.values():
    registerFont(_face)
_SPACES = str.maketrans("\t\r\u202f", "   ")
_LETTERS = frozenset(_FACES[TEXT].face.charToGlyph) & frozenset(_FACES[BOLD].face.charToGlyph)


def plain(text: str) -> str:
    """A text as these letters can write it, with a question mark for any other sign."""
    composed = unicodedata.normalize("NFC", CONTROLS.sub(" ", text).translate(_SPACES))
    if composed.isascii():
        return composed
    # A line's end is kept: the text is broken there.
    return "".join(sign if ord(sign) in _LETTERS or sign == "\n" else "?" for sign in composed)
