"""Writes docs/checkvalues.md."""

from tests.values.checkvalues.written import PATH, whole

if __name__ == "__main__":
    PATH.write_text(whole(), encoding="utf-8")
