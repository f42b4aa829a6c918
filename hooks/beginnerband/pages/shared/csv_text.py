"""Comma-separated values (RFC 4180, ``\\n``) for other programs."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

Row = Sequence[object]
"""One line, a value a column."""


def csv_text(head: Sequence[str], rows: Iterable[Row]) -> str:
    """Comma-separated values with a header line."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()
