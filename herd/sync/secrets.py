"""One-time codes and tokens of devices: made here, kept only as hashes."""

import hashlib
import secrets

# Crockford's base 32 without its vowel-like digits: nothing that is read for another when typed with gloves.
ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
CODE_LENGTH = 10


def make_code() -> str:
    """A one-time code of ten characters (49 bits), written in two halves."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
    return f"{letters[:5]}-{letters[5:]}"


def make_token() -> str:
    """A token of 256 bits."""
    return secrets.token_urlsafe(32)


def hash_of(secret: str) -> str:
    """The SHA-256 of a token in hexadecimal digits; 256 random bits need no salt."""
    return hashlib.sha256(secret.encode()).hexdigest()


def hash_of_code(code: str) -> str:
    """The hash of a one-time code, however it was typed: small letters, with or without its dash."""
    return hash_of("".join(letter for letter in code.upper() if letter.isalnum()))
