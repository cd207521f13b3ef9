"""Judging outer spaces and spare last columns, which belong to the way of writing and not to the cells."""

from collections import Counter


def has_padded_cells(rows: list[list[str]], width: int) -> bool:
    """True when the whole file pads its cells with spaces, so that outer spaces mean nothing."""
    filled = [[cell for cell in row if cell.strip()] for row in rows[:300] if width in (0, len(row))]
    filled = [row for row in filled if row]
    if not filled:
        return False
    padded = [sum(1 for cell in row if cell != cell.strip()) for row in filled]
    if width <= 1:
        return all(padded)
    cells = sum(len(row) for row in filled)
    return sum(1 for count in padded if count) >= 0.95 * len(filled) and sum(padded) >= 0.2 * cells


def has_spare_last_column(rows: list[list[str]], header: list[str]) -> bool:
    """True when every row ends with a delimiter, so that the last cell is always empty and unnamed."""
    written = [row for row in rows if any(cell.strip() for cell in row)]
    if not written:
        return len(header) > 2 and not header[-1] and all(header[:-1])
    usual = Counter(map(len, written)).most_common(1)[0][0]
    full = [row for row in written if len(row) == usual]
    if usual < 3 or len(full) < 0.8 * len(written) or any(row[-1].strip() for row in full):
        return False
    if not header:
        return len(full) > 2
    return len(header) == usual - 1 or (len(header) == usual and not header[-1].strip())
