"""Make the kept drawings anew: ``python hooks/drawings/remake.py``, or only those whose names are given."""

from __future__ import annotations

import sys
from pathlib import Path

HOOKS = Path(__file__).resolve().parents[1]


def main(names: list[str]) -> None:
    """Write every panel of every picture named, or of all; a file that no picture has any more is taken away."""
    sys.path.insert(0, str(HOOKS))
    from beginnerband.render.pictures.kept import KEPT, PANELS, drawn_from, file_of
    from drawings.instruments import instruments
    from drawings.scenes import SCENES

    if missing := set(SCENES) ^ set(PANELS):
        raise SystemExit(f"drawn here but not named in kept.py, or the other way round: {', '.join(sorted(missing))}")
    for name in names or SCENES:
        sheets = SCENES[name]()
        if tuple(sheets) != PANELS[name]:
            raise SystemExit(f"{name}: kept.py names the panels {PANELS[name]}, here they are {tuple(sheets)}")
        for panel, sheet in sheets.items():
            path = file_of(name, panel)
            path.write_text(sheet.svg(), encoding="utf-8")
            print(f"{path.name}: {path.stat().st_size} bytes", flush=True)
    if not names:
        (KEPT / "drawn-from.txt").write_text("\n".join(drawn_from(instruments())) + "\n", encoding="utf-8")
    wanted = {file_of(name, panel) for name, panels in PANELS.items() for panel in panels}
    for path in KEPT.glob("*.svg"):
        if path not in wanted:
            path.unlink()


if __name__ == "__main__":
    main(sys.argv[1:])
