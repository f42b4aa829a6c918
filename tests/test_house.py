"""The rules of the house that a reader of the code relies on (DEVELOPERS.md)."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

CODE = Path(__file__).parent.parent / "hooks" / "beginnerband"


def test_no_two_public_classes_share_a_name() -> None:
    homes: dict[str, list[str]] = defaultdict(list)
    for path in sorted([*CODE.rglob("*.py"), *CODE.parent.glob("drawings/*.py")]):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes[node.name].append(path.relative_to(CODE.parent).as_posix())
    assert {name: where for name, where in homes.items() if len(where) > 1} == {}


def test_no_types_file_hides_its_script() -> None:
    """TypeScript takes ``a.d.ts`` for what ``a.js`` declares, and then does not look at ``a.js``."""
    assert [types.name for types in CODE.rglob("*.d.ts") if types.with_name(types.name[:-5] + ".js").exists()] == []
