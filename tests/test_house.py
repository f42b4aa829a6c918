"""The rules of the house that a reader of the code relies on (DEVELOPERS.md)."""

from __future__ import annotations

import ast
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

CODE = Path(__file__).parent.parent / "hooks" / "beginnerband"


@cache
def parsed() -> dict[Path, ast.Module]:
    """The code of the handbook and of its drawings."""
    files = sorted([*CODE.rglob("*.py"), *CODE.parent.glob("drawings/*.py")])
    return {path: ast.parse(path.read_text(encoding="utf-8")) for path in files}


def test_no_two_public_classes_share_a_name() -> None:
    homes: dict[str, list[str]] = defaultdict(list)
    for path, tree in parsed().items():
        for node in tree.body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes[node.name].append(path.relative_to(CODE.parent).as_posix())
    assert {name: where for name, where in homes.items() if len(where) > 1} == {}


def test_no_types_file_hides_its_script() -> None:
    """TypeScript takes ``a.d.ts`` for what ``a.js`` declares, and then does not look at ``a.js``."""
    assert [types.name for types in CODE.rglob("*.d.ts") if types.with_name(types.name[:-5] + ".js").exists()] == []


LIKE = 3
"""So many values of one type in a row could change places and nobody would notice."""


def test_values_of_one_kind_are_handed_over_by_name() -> None:
    """A dataclass with three or more fields of like types takes them by name (``kw_only``, or after ``KW_ONLY``)."""
    found = []
    for path, tree in parsed().items():
        for node in tree.body:
            if isinstance(node, ast.ClassDef) and any("dataclass" in ast.unparse(one) for one in node.decorator_list):
                types = Counter(_positional(node))
                found += [f"{path.name}: {node.name}" for kind in types if types[kind] >= LIKE]
    assert found == []


def _positional(node: ast.ClassDef) -> Iterator[str]:
    """The types of the fields that are given by place; ``X | None`` counts as ``X``."""
    if any("kw_only=True" in ast.unparse(one) for one in node.decorator_list):
        return
    for line in node.body:
        if isinstance(line, ast.AnnAssign):
            kind = ast.unparse(line.annotation)
            if kind == "KW_ONLY":
                return
            if not kind.startswith("ClassVar"):
                yield kind.partition(" | ")[0]
