"""What a person should know about an electronic number that is whole: test codes, makers' codes, misuse."""

from functools import lru_cache

from herd.values.chipcode import ElectronicNumber
from herd.values.prefixes import PrefixKind, meaning_of
from herd.values.problems import Caution

_NINE_ZEROS = 10**9
_MISUSED_PREFIX = 900
_MISUSED_NUMBER = 155_000_101_234
_DUPLICATED = range(215_000_000_000, 215_011_000_000)


def cautions_of(number: ElectronicNumber) -> tuple[Caution, ...]:
    """The cautions about a number, often none.

    Sources: ICAR for prefixes and published misuse; a national number ending in nine zeros is what a
    spreadsheet leaves of a number shown as 8.40003E+14.
    """
    cautions = prefix_cautions(number.prefix)
    if number.animal and number.national % _NINE_ZEROS and number.prefix != _MISUSED_PREFIX:
        return cautions
    return cautions + _own_cautions(number)


@lru_cache(maxsize=1024)
def prefix_cautions(prefix: int) -> tuple[Caution, ...]:
    """The cautions that follow from a prefix alone."""
    meaning = meaning_of(prefix)
    texts = {
        PrefixKind.TEST: ("test_code", "Prefix 999 is for tests and is never an official number."),
        PrefixKind.SHARED_MANUFACTURER: (
            "shared_manufacturer",
            "Prefix 900 is shared by several manufacturers, so the number may not be the only one.",
        ),
        PrefixKind.MANUFACTURER: (
            "manufacturer_code",
            f"Prefix {prefix:03d} is a manufacturer's code, not a country.",
        ),
        PrefixKind.UNASSIGNED: ("unassigned_country", f"Prefix {prefix:03d} belongs to no country today."),
        PrefixKind.NORTHERN_IRELAND: (
            "northern_ireland",
            "Prefix 899 stands for Northern Ireland by a rule of the European Union, not by ISO 3166.",
        ),
    }
    return (Caution(*texts[meaning.kind]),) if meaning.kind in texts else ()


def _own_cautions(number: ElectronicNumber) -> tuple[Caution, ...]:
    found = []
    if not number.animal:
        found.append(Caution("not_animal_flag", "The tag is not marked as an animal tag."))
    if number.national % _NINE_ZEROS == 0:
        text = f"{number.digits} ends in nine zeros; its last digits were probably lost in a spreadsheet."
        found.append(Caution("trailing_zeros", text))
    if number.prefix == _MISUSED_PREFIX and number.national == _MISUSED_NUMBER:
        found.append(Caution("misused_number", f"{number.digits} is known to have been put on many tags."))
    if number.prefix == _MISUSED_PREFIX and number.national in _DUPLICATED:
        found.append(Caution("duplicated_range", f"{number.digits} lies in a range that was made twice."))
    return tuple(found)
