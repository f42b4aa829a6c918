"""Small faults in ``music/`` and ``teaching/``, drawn by seed and made; ``measure_mutants.py`` tries them.

Cosmic Ray (https://cosmic-ray.readthedocs.io) finds the places and makes the faults. A place is drawn first and then
one of the faults possible there, so that a place with many is not drawn more often. Annotations are left out, since
nothing there can change what the program does.

Lots are drawn for each place by what stands there, not by its number in a list: after an edit the sample is what it
was, but for the places that the edit touched.
"""

from __future__ import annotations

import ast
import difflib
import functools
import hashlib
import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import CodeType, FunctionType

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).parent.parent
PACKAGE = "hooks/beginnerband"
FOLDERS = ("music", "teaching")
LEFT_OUT = re.compile(r"NoOp|Variable|Exception|_Is(Not)?$|Comparison.*_(Is|IsNot)_")
"""Operators that change nothing (``is`` for ``==`` of small values), need settings, or only change an error's name."""

Span = tuple[tuple[int, int], tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Fault:
    """One small change of one file."""

    module: str
    """As ``music/fingering.py``."""
    operator: str
    """Cosmic Ray's name of the kind of change."""
    occurrence: int
    """Which of the places for it in the file."""
    line: int
    """Line, from 1."""
    column: int
    """Column, from 0."""
    nth: int
    """Which of the faults of this kind at this place."""


def faults(module: str) -> dict[Span, list[Fault]]:
    """Every fault that could be made in a module, by its place."""
    source = source_of(module)
    inert = list(_inert(ast.parse(source)))
    nodes = list(ast_nodes(get_ast(source)))
    found: dict[Span, list[Fault]] = {}
    for name in operator_names():
        operator = get_operator(name)
        if LEFT_OUT.search(name.split("/")[1]) or operator.arguments():
            continue
        positions = (position for node in nodes for position in operator().mutation_positions(node))
        for occurrence, (start, end) in enumerate(positions):
            if not any(first <= start and end <= last for first, last in inert):
                here = found.setdefault((start, end), [])
                nth = sum(fault.operator == name for fault in here)
                here.append(Fault(module, name, occurrence, *start, nth))
    return found


UNHEARD = {"strict", "kw_only", "slots", "repr", "maxsize"}
"""Keywords whose value decides nothing that a test could notice: how callers may write, what is shown to programmers,
and how much is remembered; ``strict`` asks for what the code has already seen to."""


def _inert(tree: ast.Module) -> Iterator[Span]:
    """Where nothing can be noticed: annotations, which ``from __future__ import annotations`` leaves as they are,
    decorators that only remember results, and the values of :data:`UNHEARD`.
    """
    for node in ast.walk(tree):
        parts: list[ast.AST | None] = []
        if isinstance(node, ast.FunctionDef):
            parts.append(node.returns)
            for each in node.decorator_list:
                if re.match(r"(lru_)?cache\b", ast.unparse(each)):
                    yield (each.lineno, each.col_offset - 1), ((each.end_lineno or 0) + 1, 0)
        elif isinstance(node, ast.arg | ast.AnnAssign):
            parts.append(node.annotation)
        elif isinstance(node, ast.keyword) and node.arg in UNHEARD:
            parts.append(node.value)
        elif isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            parts.append(node)
        for part in parts:
            if isinstance(part, ast.expr | ast.stmt):
                yield (part.lineno, part.col_offset), (part.end_lineno or 0, part.end_col_offset or 0)


def drawn(count: int, seed: int, only: str) -> list[Fault]:
    """A sample of places, each with one fault, in an order that depends on the seed and on what stands there."""
    lots: list[tuple[str, Fault]] = []
    number = 0
    for folder in FOLDERS:
        for path in sorted((ROOT / PACKAGE / folder).glob("*.py")):
            module = path.relative_to(ROOT / PACKAGE).as_posix()
            if only not in module:
                continue
            lines, same = source_of(module).split("\n"), Counter[str]()
            for (start, _), made in sorted(faults(module).items()):
                number += len(made)
                line = lines[start[0] - 1]
                column = start[1] - (len(line) - len(line.lstrip()))
                place = f"{seed} {function_at(module, start[0])} {line.strip()} {column}"
                same[place] += 1
                chosen = min(made, key=lambda one: _digest(f"{place} {same[place]} {one.operator} {one.nth}"))
                lots.append((_digest(f"{place} {same[place]}"), chosen))
    print(f"{number} faults at {len(lots)} places; seed {seed}")
    return [fault for _, fault in sorted(lots, key=lambda lot: lot[0])[:count]]


def _digest(what: str) -> str:
    return hashlib.sha256(what.encode()).hexdigest()


def function_at(module: str, line: int) -> str:
    """The outermost function on a line, as ``music/fingering.py:Fingering.name``; empty after the colon elsewhere."""
    return f"{module}:{_outermost(module, line)[0]}"


def _outermost(module: str, line: int) -> tuple[str, int, int]:
    """The name of the outermost function on a line, and its first and last line; of the module where there is none."""
    for name, first, last in _functions(module):
        if first <= line <= last:
            return name, first, last
    return "", 1, source_of(module).count("\n") + 1


@lru_cache
def _functions(module: str) -> tuple[tuple[str, int, int], ...]:
    def inside(body: Sequence[ast.stmt], names: tuple[str, ...]) -> Iterator[tuple[str, int, int]]:
        for node in body:
            if isinstance(node, ast.FunctionDef):
                yield ".".join((*names, node.name)), node.lineno, node.end_lineno or 0
            elif isinstance(node, ast.ClassDef):
                yield from inside(node.body, (*names, node.name))

    return tuple(inside(ast.parse(source_of(module)).body, ()))


def same_as(fault: Fault) -> str:
    """What stays as long as the function that a fault is in (for one outside functions: the module) stays as it is."""
    name, first, last = _outermost(fault.module, fault.line)
    text = "\n".join(source_of(fault.module).split("\n")[first - 1 : last])
    place = f"{text} {fault.line - first} {fault.column} {fault.operator} {fault.nth}"
    return f"{fault.module}:{name} {fault.operator} {_digest(place)[:16]}"


def imports(text: str, module: str) -> bool:
    parent, _, last = module.removesuffix(".py").replace("/", ".").rpartition(".")
    whole = f"{parent}.{last}" if parent else last
    return bool(
        re.search(rf"^ *from beginnerband\.{re.escape(whole)} import", text, re.M)
        or re.search(rf"^ *from beginnerband\.{re.escape(parent)} import .*\b{last}\b", text, re.M)
    )


@lru_cache
def source_of(module: str) -> str:
    return (ROOT / PACKAGE / module).read_text(encoding="utf-8")


@lru_cache
def modules() -> tuple[str, ...]:
    return tuple(sorted(path.relative_to(ROOT / PACKAGE).as_posix() for path in (ROOT / PACKAGE).rglob("*.py")))


def mutated(source: str, fault: Fault) -> str:
    """A module's text with the fault in it."""
    changed = mutate_code(source, get_operator(fault.operator)(), fault.occurrence)
    assert changed is not None
    return str(changed)


def swaps(source: str, changed: str, path: str) -> dict[CodeType, CodeType] | None:
    """Code by what takes its place; None where something differs that is done when the module is loaded."""
    try:
        old, new = _parts(compile(source, path, "exec")), _parts(compile(changed, path, "exec"))
    except SyntaxError:
        return None
    if [(code.co_qualname, _inert_code(code)) for code in old if not _is_function(code)] != [
        (code.co_qualname, _inert_code(code)) for code in new if not _is_function(code)
    ]:
        return None
    pairs = [
        *zip([code for code in old if _is_function(code)], [code for code in new if _is_function(code)], strict=True)
    ]
    if any(one.co_qualname != other.co_qualname or one.co_freevars != other.co_freevars for one, other in pairs):
        return None
    return dict(pairs)


def _parts(code: CodeType) -> list[CodeType]:
    """A module's code, its classes', and that of its functions, without what is inside functions."""
    inside = [each for each in code.co_consts if isinstance(each, CodeType)] if not _is_function(code) else []
    return [code, *(part for each in inside for part in _parts(each))]


def _is_function(code: CodeType) -> bool:
    """Whether it is run when it is called by its name: not, as ``<genexpr>``, while the module is loaded."""
    return bool(code.co_flags & 0x2) and not code.co_name.startswith("<")  # CO_NEWLOCALS: functions have fast locals


def _inert_code(code: CodeType) -> tuple[object, ...]:
    consts = [each.co_qualname if isinstance(each, CodeType) else repr(each) for each in code.co_consts]
    return code.co_code, tuple(consts), code.co_names


def difference(fault: Fault) -> str:
    """The lines that a fault changes."""
    source = source_of(fault.module)
    lines = difflib.unified_diff(source.split("\n"), mutated(source, fault).split("\n"), n=0, lineterm="")
    return "\n".join(lines).split("\n", 3)[3]


def swap(functions: Sequence[FunctionType], pairs: Mapping[CodeType, CodeType]) -> None:
    """Give every function that is loaded the code that takes its code's place."""
    done = [each for each in functions if each.__code__ in pairs]
    assert done or not pairs, "the module is not loaded"
    for each in done:
        each.__code__ = pairs[each.__code__]


def forget() -> None:
    """Empty every cache of the project's functions, so that each test works everything out by itself."""
    for name, module in list(sys.modules.items()):
        if name.startswith("beginnerband"):
            owners = [module, *(each for each in vars(module).values() if isinstance(each, type))]
            for each in [each for owner in owners for each in vars(owner).values()]:
                if isinstance(each, functools._lru_cache_wrapper):
                    each.cache_clear()
