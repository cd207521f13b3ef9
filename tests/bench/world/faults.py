"""What is put wrong with a hard file, one way a function; each keeps the truth of the draft in step.

A function gives False and leaves all as it was where its fault doesn't fit the table.
"""

from tests.bench.world.composing import Draft


def title(draft: Draft) -> bool:
    draft.top.append(draft.chance.choice(draft.pool.titles))
    return True


def title_and_blank(draft: Draft) -> bool:
    draft.top += [draft.chance.choice(draft.pool.titles), ""]
    return True


def padded_title(draft: Draft) -> bool:
    draft.top += [draft.padded(draft.chance.choice(draft.pool.titles)), draft.delimiter * (draft.width - 1)]
    return True


def keys_and_values(draft: Draft) -> bool:
    if draft.width < 3:
        return False
    pairs = draft.chance.sample(draft.pool.keys, draft.chance.randint(2, min(4, len(draft.pool.keys))))
    draft.top += [draft.line(list(pair)) for pair in pairs] + [""]
    return True


def remarks_above(draft: Draft) -> bool:
    draft.top += [f"# {text}" for text in draft.chance.sample(draft.pool.remarks, 2)]
    return True


def prose_above(draft: Draft) -> bool:
    draft.top += [*draft.chance.sample(draft.pool.remarks, 2), ""]
    return True


def blank_above(draft: Draft) -> bool:
    draft.top += [""] * draft.chance.randint(1, 3)
    return True


def names_its_delimiter(draft: Draft) -> bool:
    draft.top.insert(0, f"sep={draft.delimiter}")
    return True


def no_header(draft: Draft) -> bool:
    draft.header, draft.heads = [], []
    return True


def two_header_rows(draft: Draft) -> bool:
    """The names in two parts, one under the other."""
    parts = [name.partition(" ")[::2] for name in draft.header]
    second = [lower or draft.chance.choice(draft.pool.asides) for _, lower in parts]
    draft.heads = [draft.line([upper for upper, _ in parts]), draft.line(second)]
    draft.header = [f"{upper} {lower}" for (upper, _), lower in zip(parts, second, strict=True)]
    return True


def grouped_header(draft: Draft) -> bool:
    """A sparse row of group names above the names."""
    if draft.width < 5:
        return False
    groups = [""] * draft.width
    groups[1], groups[3] = draft.chance.sample(draft.pool.groups, 2)
    draft.heads.insert(0, draft.line(groups))
    draft.header = [f"{group} {name}".strip() for group, name in zip(groups, draft.header, strict=True)]
    return True


def units_row(draft: Draft) -> bool:
    units = [
        draft.chance.choice(draft.pool.units) if row.replace(".", "", 1).isdigit() else "" for row in draft.rows[0]
    ]
    if sum(map(bool, units)) < 2:
        return False
    draft.heads.append(draft.line(units))
    return True


def header_repeated(draft: Draft) -> bool:
    if len(draft.body) < 6 or not draft.heads:
        return False
    for place in (len(draft.body) // 3, 2 * len(draft.body) // 3):
        draft.body.insert(place, draft.heads[-1])
    return True


def same_names(draft: Draft) -> bool:
    draft.header[-1] = draft.header[1]
    draft.heads = [draft.line(draft.header)]
    return True


def unnamed_first(draft: Draft) -> bool:
    draft.header[0] = ""
    draft.heads = [draft.line(draft.header)]
    return True


def blank_rows(draft: Draft) -> bool:
    for place in sorted(draft.chance.sample(range(1, len(draft.body) + 1), min(3, len(draft.body))), reverse=True):
        draft.body.insert(place, draft.chance.choice(["", draft.delimiter * (draft.width - 1)]))
    return True


def short_rows(draft: Draft) -> bool:
    """The last cells of some rows left out with their delimiters."""
    if draft.width < 4:
        return False
    for place in draft.chance.sample(range(len(draft.rows)), max(1, len(draft.rows) // 5)):
        draft.rows[place] = draft.rows[place][:-2]
        draft.body[place] = draft.line(draft.rows[place])
    return True


def long_row(draft: Draft) -> bool:
    """One row with a cell too many, behind the last."""
    if len(draft.rows) < 3:
        return False
    place = draft.chance.randrange(len(draft.rows))
    draft.rows[place] = [*draft.rows[place], draft.chance.choice(draft.pool.asides)]
    draft.body[place] = draft.line(draft.rows[place])
    return True


def trailing_delimiters(draft: Draft) -> bool:
    draft.body = [line + draft.delimiter for line in draft.body]
    draft.heads = [line + draft.delimiter for line in draft.heads]
    return True


def _text_place(draft: Draft, place: int) -> int | None:
    """A column behind the first whose cell here is plain words."""
    signs = {draft.delimiter, draft.quote, "\n", '"', "'"}
    fit = [
        column
        for column, cell in enumerate(draft.rows[place])
        if column and cell.replace(" ", "").isalpha() and not signs & set(cell)
    ]
    return draft.chance.choice(fit) if fit else None


def _rewritten(draft: Draft, raw: str, meant: str, share: float = 0.0) -> bool:
    """Put `raw` for one cell of some rows, where `{}` is the cell; `meant` is what a person reads in it."""
    places = list(range(len(draft.rows)))
    draft.chance.shuffle(places)
    done = 0
    for place in places[: max(1, round(len(places) * share))]:
        column = _text_place(draft, place)
        if column is None:
            continue
        cell = draft.rows[place][column]
        cells = [draft.line([each]) for each in draft.rows[place]]
        cells[column] = raw.replace("{}", cell)
        draft.body[place] = draft.delimiter.join(cells)
        draft.rows[place][column] = meant.replace("{}", cell)
        done += 1
    return done > 0


def stray_quote(draft: Draft) -> bool:
    return draft.quoting == "minimal" and _rewritten(draft, f"{{}} 6{draft.quote} wide", f"{{}} 6{draft.quote} wide")


def opening_quote_only(draft: Draft) -> bool:
    return draft.quoting == "minimal" and _rewritten(draft, f"{draft.quote}{{}}", f"{draft.quote}{{}}")


def lost_closing_quote(draft: Draft) -> bool:
    return draft.quoting == "all" and _rewritten(draft, f"{draft.quote}{{}}", "{}")


def unescaped_quotes(draft: Draft) -> bool:
    sign = draft.quote
    return _rewritten(draft, f"{sign}the {sign}{{}}{sign} one{sign}", f"the {sign}{{}}{sign} one", 0.2)


def escaped_by_backslash(draft: Draft) -> bool:
    sign = draft.quote
    raw = f"{sign}the \\{sign}{{}}\\{sign}{draft.delimiter} again{sign}"
    return _rewritten(draft, raw, f"the {sign}{{}}{sign}{draft.delimiter} again", 0.3)


def delimiter_inside(draft: Draft) -> bool:
    inside = f"{{}}{draft.delimiter} more"
    return _rewritten(draft, f"{draft.quote}{inside}{draft.quote}", inside, 0.3)


def line_end_inside(draft: Draft) -> bool:
    inside = "{}\nsecond line"
    return _rewritten(draft, f"{draft.quote}{inside}{draft.quote}", inside, 0.2)


def very_long_cell(draft: Draft) -> bool:
    long = "{} " + "went on and on " * 900
    return _rewritten(draft, long, long)


def spaces_around(draft: Draft) -> bool:
    if draft.quoting != "minimal" or any(draft.quote in line for line in [*draft.heads, *draft.body]):
        return False
    sign = draft.delimiter
    draft.body = [line.replace(sign, f"{sign} ") for line in draft.body]
    draft.heads = [line.replace(sign, f"{sign} ") for line in draft.heads]
    return True


def totals_below(draft: Draft) -> bool:
    totals = [draft.chance.choice(draft.pool.totals)] + [""] * (draft.width - 1)
    totals[-1] = str(draft.chance.randint(1000, 90000))
    draft.below.append(draft.line(totals))
    return True


def end_below(draft: Draft) -> bool:
    draft.below += ["", draft.chance.choice(draft.pool.ends)]
    return True


def end_at_once(draft: Draft) -> bool:
    draft.below.append(draft.chance.choice(draft.pool.ends))
    return True


def padded_end(draft: Draft) -> bool:
    draft.below += [draft.delimiter * (draft.width - 1), draft.padded(draft.chance.choice(draft.pool.ends))]
    return True


def blank_below(draft: Draft) -> bool:
    draft.below += [""] * 4
    return True


def second_table(draft: Draft) -> bool:
    """A narrower table below with names of its own; its rows are rows too, or the first table alone is read."""
    if not draft.header or draft.width < 4:
        return False
    header, rows = draft.chance.choice(draft.pool.tables)(draft.chance)
    size = min(len(header), draft.width - 1, 4)
    if header[:size] == draft.header[:size] or size < 2:
        return False
    rows = [row[:size] for row in rows[:8]]
    draft.below += ["", draft.line(header[:size]), *(draft.line(row) for row in rows)]
    draft.also_rows.append([*draft.rows])
    draft.rows = [*draft.rows, *rows]
    return True


def zero_bytes(draft: Draft) -> bool:
    place = draft.chance.randrange(len(draft.body))
    draft.body[place] = draft.body[place].replace(draft.delimiter, draft.delimiter + "\x00", 1)
    return True
