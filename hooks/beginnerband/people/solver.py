"""Whole-number programmes, solved exactly and always alike by HiGHS.

HiGHS (MIT licence) is imported only when something is solved. It runs on one thread with a fixed seed and closes the
gap entirely, so that the same programme gives the same answer on every run.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

INFINITY = float("inf")


class UnsolvedError(RuntimeError):
    """The solver stopped without an answer, which is neither a solution nor a proof that there is none."""


@dataclass(slots=True)
class Programme:
    """Minimise a sum of costs over columns, subject to rows. Costs and whole columns are whole numbers."""

    costs: list[float] = field(default_factory=list)
    """Cost of one unit of each column."""
    uppers: list[float] = field(default_factory=list)
    """Most of each column; the least is 0."""
    whole: list[bool] = field(default_factory=list)
    """Whether a column is a whole number."""
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)
    """Coefficient by column, least and most of each row."""

    def column(self, cost: float = 0, upper: float = 1, whole: bool = True) -> int:
        """Add a column and return its number."""
        self.costs.append(cost)
        self.uppers.append(upper)
        self.whole.append(whole)
        return len(self.costs) - 1

    def row(self, coefficients: Mapping[int, float], least: float = -INFINITY, most: float = INFINITY) -> None:
        """Add a row."""
        self.rows.append((dict(coefficients), least, most))

    def copy(self) -> Programme:
        """The same programme, to be added to."""
        return Programme(list(self.costs), list(self.uppers), list(self.whole), list(self.rows))

    def solve(self) -> tuple[float, ...] | None:
        """The value of every column in a cheapest solution, or ``None`` when there is no solution.

        Raises :class:`UnsolvedError` when the solver gives up.
        """
        if not self.costs:
            return None if any(least > 0 or most < 0 for _, least, most in self.rows) else ()
        highs, highspy = _silent()
        for option, value in _OPTIONS.items():
            highs.setOptionValue(option, value)
        highs.passModel(self._model(highspy))
        highs.run()
        status = highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status != highspy.HighsModelStatus.kOptimal:
            raise UnsolvedError(f"the solver stopped: {highs.modelStatusToString(status)}")
        values = highs.getSolution().col_value
        return tuple(float(round(value)) if whole else value for value, whole in zip(values, self.whole, strict=True))

    def _model(self, highspy: Any) -> Any:
        import numpy as np

        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.costs), len(self.rows)
        lp.col_cost_ = np.array(self.costs, dtype=float)
        lp.col_lower_ = np.zeros(len(self.costs))
        lp.col_upper_ = np.array(self.uppers, dtype=float)
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in self.whole]
        lp.row_lower_ = np.array([least for _, least, _ in self.rows], dtype=float)
        lp.row_upper_ = np.array([most for _, _, most in self.rows], dtype=float)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        starts, columns, values = _flat(coefficients for coefficients, _, _ in self.rows)
        lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(columns, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(values, dtype=float)
        return lp


def _silent() -> tuple[Any, Any]:
    """A fresh solver. The first one greets on standard output before it can be asked not to."""
    import highspy

    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        highs = highspy.Highs()
        highs.silent()
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
    return highs, highspy


_OPTIONS = {
    "threads": 1,
    "parallel": "off",
    "random_seed": 1,
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 0.5,  # costs are whole numbers: nothing lies between two of them
}


def _flat(rows: Iterable[Mapping[int, float]]) -> tuple[list[int], list[int], list[float]]:
    starts, columns, values = [0], list[int](), list[float]()
    for coefficients in rows:
        columns.extend(coefficients)
        values.extend(coefficients.values())
        starts.append(len(columns))
    return starts, columns, values
