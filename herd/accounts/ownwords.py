"""Refuses passwords that are made of words which anyone would try at an installation of this kind."""

import re
from typing import Any

from django.core.exceptions import ValidationError

from herd.accounts.models import OutfitPerson

# The program, the trade, and what goes before a name or a year; docs/security.md tells of them.
WORDS = (
    "notchbook", "password", "welcome", "outfit", "cattle", "livestock", "ranch", "farm", "herd", "beef", "pasture",
    "heifer", "steer", "calves", "calf", "bull", "cows", "cow",
)  # fmt: skip
LEAST_LEFT = 5
LETTERS = re.compile(r"[^\W\d_]+")


class OwnWords:
    """Asks for a few letters beside such words and the names of the outfits that the person works in."""

    def validate(self, password: str, user: Any = None) -> None:
        """Raise ValidationError where too little is left once they are taken away."""
        whole = left = "".join(LETTERS.findall(password.casefold()))
        for word in sorted({*WORDS, *_words_of(user)}, key=len, reverse=True):
            left = left.replace(word, "")
        if left != whole and len(left) < LEAST_LEFT:
            raise ValidationError(self.get_help_text(), code="own_words")

    def get_help_text(self) -> str:
        """Say it to the person."""
        return "Your password can't be made of the outfit's name and words of the trade; add some of your own."


def _words_of(person: Any) -> set[str]:
    if person is None or person.pk is None:
        return set()
    outfits = OutfitPerson.objects.filter(person=person).values_list("outfit__name", "outfit__code")
    return {word for names in outfits for text in names for word in LETTERS.findall(text.casefold()) if len(word) > 2}
