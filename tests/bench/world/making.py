"""How a hard file made by hand is put down."""

from tests.bench.world.truth import HardFile, Rows, Truth


def joined(rows: Rows, sign: str = ",") -> str:
    """The rows as plain lines."""
    return "".join(sign.join(row) + "\n" for row in rows)


def made(name: str, text: str | bytes, header: list[str], rows: Rows, **more) -> HardFile:
    """A file with its truth; text is written as UTF-8."""
    content = text if isinstance(text, bytes) else text.encode()
    return HardFile(f"hand-{name}", content, Truth(rows=rows, header=header, kind=more.pop("kind", name), **more))
