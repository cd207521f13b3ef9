"""Month names and their short forms in English, Spanish, French, German and Portuguese."""

_NAMES = (
    "january jan enero ene janvier janv januar janner janeiro",
    "february feb febrero fevrier fevr fev februar fevereiro",
    "march mar marzo mars marz mrz maerz marco",
    "april apr abril abr avril avr",
    "may mayo mai maio",
    "june jun junio juin juni junho",
    "july jul julio juillet juil juli julho",
    "august aug agosto ago aout aou",
    "september sep sept septiembre setiembre septembre setembro set",
    "october oct octubre octobre oktober okt outubro out",
    "november nov noviembre novembre novembro",
    "december dec diciembre dic decembre dezember dez dezembro",
)

MONTHS: dict[str, int] = {
    name: number for number, names in enumerate(_NAMES, start=1) for name in names.split()
}
"""Folded month name (lower case, no accents) to its number, 1 to 12."""
