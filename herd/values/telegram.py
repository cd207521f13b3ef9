"""The FDX-B telegram a tag sends: 128 bits with header, control bits, the code, a checksum and a trailer."""

import re

from herd.values.chipcode import ElectronicNumber
from herd.values.problems import Unreadable, shown

_HEADER = (0,) * 10 + (1,)
_REFLECTED_POLYNOMIAL = 0x8408
_HEX = re.compile(r"[0-9A-Fa-f]{32}")


def crc16(data: bytes) -> int:
    """The 16-bit checksum of bytes received least significant bit first, start value 0.

    Polynomial x^16 + x^12 + x^5 + 1. Source: ISO 11785; catalogue name CRC-16/KERMIT.
    """
    remainder = 0
    for byte in data:
        remainder ^= byte
        for _ in range(8):
            remainder = remainder >> 1 ^ _REFLECTED_POLYNOMIAL if remainder & 1 else remainder >> 1
    return remainder


def encode_telegram(number: ElectronicNumber, trailer: int = 0) -> str:
    """The telegram of a number as 32 hex characters, first bit sent leftmost; `trailer` holds 24 bits."""
    if not 0 <= trailer < 1 << 24:
        raise Unreadable(str(trailer), "field_too_large", f"{shown(str(trailer))} does not fit 24 bits.")
    code = number.word.to_bytes(8, "little")
    sent = code + crc16(code).to_bytes(2, "little") + trailer.to_bytes(3, "little")
    bits = list(_HEADER)
    for byte in sent:
        bits.extend(byte >> place & 1 for place in range(8))
        bits.append(1)
    return f"{int(''.join(map(str, bits)), 2):032X}"


def decode_telegram(hex_text: str) -> ElectronicNumber:
    """The number in a telegram of 32 hex characters.

    Raises Unreadable when the length, the header, a control bit or the checksum is wrong. The trailer is not
    covered by the checksum and is left aside.
    """
    if not _HEX.fullmatch(hex_text):
        raise Unreadable(hex_text, "wrong_length", f"{shown(hex_text)} is not 32 hexadecimal characters.")
    bits = f"{int(hex_text, 16):0128b}"
    controls = bits[19::9]
    if bits[:11] != "00000000001" or "0" in controls:
        raise Unreadable(
            hex_text, "bad_telegram", f"{shown(hex_text)} lacks the fixed bits of a tag telegram."
        )
    sent = bytes(int(bits[start : start + 8][::-1], 2) for start in range(11, 128, 9))
    if crc16(sent[:8]) != int.from_bytes(sent[8:10], "little"):
        raise Unreadable(hex_text, "bad_checksum", f"{shown(hex_text)} was received with an error in it.")
    return ElectronicNumber.from_word(int.from_bytes(sent[:8], "little"))
