"""Colour words: of ear tags, in five languages, and of coats, as they are written in calving books."""

from herd.values.cells import fold, is_missing
from herd.values.damage import refuse_spreadsheet_marks
from herd.values.problems import Unreadable, shown

# Words of the languages are dictionary words; the short forms are common practice, no source.
_TAG_COLOURS = {
    "yellow": "y yl yel yell yellow amarillo amarilla amar jaune gelb amarelo amarela",
    "white": "w wh wht white blanco blanca blanc blanche weiss branco branca",
    "orange": "o or org orn orange naranja anaranjado anaranjada laranja",
    "blue": "b blu blue azul bleu bleue blau",
    "green": "g gn grn green verde vert verte grun gruen",
    "red": "r rd red rojo roja rouge rot vermelho vermelha",
    "pink": "pk pnk pink rosa rosado rosada rose",
    "purple": "pu pr pur prp purp purple violet morado morada violeta purpura violette lila"
    " violett roxo roxa",
    "black": "bk blk black negro negra noir noire schwarz preto preta",
    "brown": "br brn brown marron cafe brun brune braun marrom castanho castanha",
    "grey": "gy gry gra grey gray gris grise grau cinza cinzento cinzenta",
}
_COLOUR_OF = {word: colour for colour, words in _TAG_COLOURS.items() for word in words.split()}
_AMBIGUOUS = {"p": "pink or purple", "bl": "blue or black", "gr": "green or grey"}
_COATS = {
    "black baldy": "black white face",
    "blk baldy": "black white face",
    "blk wf": "black white face",
    "black wf": "black white face",
    "black whiteface": "black white face",
    "black white-faced": "black white face",
    "red baldy": "red white face",
    "red wf": "red white face",
    "red whiteface": "red white face",
    "bwf": "black white face",
    "rwf": "red white face",
    "wf": "white face",
    "blk": "black",
    "bk": "black",
    "bl": "black",
    "blck": "black",
    "rd": "red",
    "wht": "white",
    "wh": "white",
    "yel": "yellow",
    "gry": "grey",
    "gray": "grey",
    "brn": "brown",
    "rn": "roan",
    "bldy": "baldy",
    "baldie": "baldy",
    "brin": "brindle",
    "smk": "smoke",
    "smoky": "smoke",
    "chr": "charcoal",
    "spt": "spotted",
}
_LONGEST_COAT = 60


def read_colour(text: str) -> str:
    """The tag colour as one English word; raises Unreadable for words not known and for p, bl, gr."""
    word = fold(text)
    if not word or is_missing(text):
        raise Unreadable(text, "empty", "The tag colour is empty.")
    refuse_spreadsheet_marks(text)
    if word in _COLOUR_OF:
        return _COLOUR_OF[word]
    if word in _AMBIGUOUS:
        raise Unreadable(text, "ambiguous_colour", f"{shown(text)} could be {_AMBIGUOUS[word]}.")
    raise Unreadable(text, "unknown_colour", f"{shown(text)} is not a tag colour known here.")


def read_coat(text: str) -> str:
    """The coat colour in lower case with common short forms written out; unknown words are kept as given.

    Raises Unreadable only when the cell is empty, a spreadsheet error, or longer than 60 characters.
    """
    word = fold(text)
    if not word or is_missing(text):
        raise Unreadable(text, "empty", "The coat colour is empty.")
    refuse_spreadsheet_marks(text.strip())
    if len(word) > _LONGEST_COAT:
        raise Unreadable(text, "too_long", f"{shown(text)} is too long for a coat colour.")
    phrase = word.replace(".", "")
    return _COATS.get(phrase, word)
