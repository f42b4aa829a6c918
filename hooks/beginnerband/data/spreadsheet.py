"""Tables saved by a spreadsheet as CSV, read as if they were YAML: the same rows, with the lines they stand on."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from beginnerband.data.explained import Key
from beginnerband.data.problems import Problems, did_you_mean
from beginnerband.data.textfile import SAVED_ANEW, SAVED_AS_TEXT, NoTextError, content_of, last_net, text_of
from beginnerband.data.yamlfile import Located


def read_csv(path: Path, rows: str, columns: list[str], problems: Problems) -> Located | None:
    """A table with a heading as if it were YAML: under ``rows`` a list of rows, empty cells left out.

    Cells may be parted by commas, semicolons or tabs; a first line ``sep=;``, which some spreadsheets write, says by
    which. A column that is not in ``columns`` is a problem, once.
    """
    try:
        text = text_of(content_of(path))
    except NoTextError as error:
        saved = error.remedy in (SAVED_ANEW, SAVED_AS_TEXT)
        remedy = "in the spreadsheet save it as 'CSV UTF-8'" if saved else error.remedy
        problems.add(path, error.line, f"{error.what}; {remedy}" if remedy else error.what)
        return None
    with last_net(path, problems):
        return _rows(text, path, rows, columns, problems)
    return None


def _rows(text: str, path: Path, rows: str, columns: list[str], problems: Problems) -> Located | None:
    written = text.splitlines(keepends=True)
    said = _SEPARATOR.fullmatch(written[0]) if written else None
    between = said[1] if said else max(",;\t", key=text.split("\n", 1)[0].count)
    if said:
        written[0] = "\n"
    reader = csv.reader(written, delimiter=between, strict=True)
    names: list[str] = []
    found: list[dict[str, str]] = []
    lines: dict[tuple[Key, ...], int] = {(): 1, (rows,): 1}
    start, before = 1, len(problems.found)
    try:
        for cells in reader:
            line, start = start, reader.line_num + 1
            values = [cell.strip() for cell in cells]
            if not any(values):
                continue
            if not names:
                names = [value.lower().replace(" ", "_") for value in values]
                _check_heading(path, line, names, columns, problems)
                continue
            if len(values) > len(names) and any(values[len(names) :]):
                problems.add(
                    path,
                    line,
                    f"{len(values)} cells, but the heading has {len(names)}; put a text with a "
                    f"{'comma' if between == ',' else 'semicolon'} in it between double quotes",
                )
                continue
            number = len(found)
            found.append({name: value for name, value in zip(names, values, strict=False) if name and value})
            lines[rows, number] = line
    except csv.Error as error:
        if "end of data" in str(error):  # noticed at the very end; what is wrong is where it began
            problems.add(path, start, "broken CSV: a quotation mark opens in this row and is never closed")
        else:
            problems.add(path, reader.line_num, f"broken CSV: {error}")
    if not names:
        problems.add(path, 1, "the file is empty")
    return Located(path, {rows: found}, lines) if len(problems.found) == before else None


_SEPARATOR = re.compile(r"\"?sep=([,;\t])\"?\s*", re.IGNORECASE)


def _check_heading(path: Path, line: int, names: list[str], columns: list[str], problems: Problems) -> None:
    if len(names) == 1 and "|" in names[0]:
        problems.add(path, line, "cells are parted by |; save the table with commas, semicolons or tabs between them")
        return
    if not {*names} & {*columns}:
        problems.add(path, line, f"the first line is no heading; write the columns' names there, as {columns[0]} first")
        return
    for number, name in enumerate(names):
        if name and name not in columns:
            problems.add(path, line, f"unknown column {name!r}{did_you_mean(name, columns)}")
        elif name and name in names[:number]:
            problems.add(path, line, f"the column {name!r} stands twice; keep one")
