"""The text on the pages of a PDF of ours, for tests: each text drawn is read back by the letters of its font."""

import io
from typing import Any

from pypdf import PdfReader


def texts_of(pdf: bytes) -> list[str]:
    """Every text drawn, page by page and in the order drawn."""
    found: list[str] = []

    def take(text: str, *_: Any) -> None:
        found.extend([text.strip("\n")] if text.strip() else [])

    for page in PdfReader(io.BytesIO(pdf)).pages:
        page.extract_text(visitor_text=take)
    return found
