"""A process that prints and holds nothing else: run as a script, it takes jobs from its input, a line of JSON each.

A job names the folder to print from, the template, its inputs, folders of fonts and the file to write; or the files to
bind, and such a job for the contents before them. The answer is a line of JSON, too: what went wrong, or nothing. Typst
remembers all it has set, so such a process is ended after a while; and being no copy of the build, it is small from the
beginning.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from beginnerband.wholefile import write_whole


class Engine:
    """The print engine with one set of fonts."""

    def __init__(self, work: Path, fonts: Sequence[str]) -> None:
        import typst

        found = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=list(fonts))
        self._compiler: Any = typst.Compiler(root=work, font_paths=found, ignore_system_fonts=True)
        self._work = work

    def pdf(self, template: str, inputs: Mapping[str, str], lengths: Sequence[int] = ()) -> bytes:
        """The template as PDF, with what it asks for as ``sys.inputs``; raises what the engine raises.

        ``lengths`` are the pages of what it is the contents of.
        """
        given = {**inputs, "lengths": json.dumps(lengths)}
        made = self._compiler.compile(input=self._work / template, format="pdf", sys_inputs=given, pdf_standards="ua-1")
        return bytes(made)


def main() -> None:
    """Print until there is nothing more to be taken in."""
    _end_with_parent()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the build, which ends this process
    engines: dict[str, Engine] = {}
    for line in sys.stdin:
        answer = json.dumps(_done(json.loads(line), engines))
        try:
            print(answer, flush=True)
        except BrokenPipeError:  # the build is gone; what ends in the usual way would try again to say it
            os._exit(1)


def _done(job: Mapping[str, Any], engines: dict[str, Engine]) -> str:
    """Do one job; returns what went wrong, or nothing."""
    try:
        made = _bound(job, engines) if "parts" in job else _set(job, engines)
        write_whole(Path(job["target"]), made)
    except Exception as error:  # said by the build, which knows what was to be printed
        return f"{type(error).__name__}: {error}"
    return ""


def _set(job: Mapping[str, Any], engines: dict[str, Engine], lengths: Sequence[int] = ()) -> bytes:
    key = json.dumps([job["work"], job["fonts"]])
    if key not in engines:
        engines[key] = Engine(Path(job["work"]), job["fonts"])
    return engines[key].pdf(job["template"], job["inputs"], lengths)


def _bound(job: Mapping[str, Any], engines: dict[str, Engine]) -> bytes:
    from beginnerband.render.binding import bound  # here, since it takes a while to load

    contents = partial(_set, job["contents"], engines) if job["contents"] else None
    return bound([(Path(path), copies) for path, copies in job["parts"]], job["name"], contents)


def _end_with_parent() -> None:
    """Have Linux end this process with the build that began it, also when that is killed (prctl(2), PDEATHSIG)."""
    if sys.platform == "linux":
        import ctypes

        ctypes.CDLL(None).prctl(1, signal.SIGKILL)


if __name__ == "__main__":
    main()
