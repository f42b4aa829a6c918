"""One reader for every text file that people write: the text, or one problem that says what is wrong with the file."""

from __future__ import annotations

import errno
import re
import stat
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from traceback import extract_tb

from beginnerband.data.problems import DataError, Problems

LARGEST = 2_000_000
"""Bytes. Nothing written by hand comes near; a larger file is something else."""

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x85\u200b\u2028\u2029\u2060\ufeff\ufffe\uffff\ud800-\udfff]")
"""Signs that are no text, with those that take no room (U+200B, U+2060): they come along when a web page is copied."""

_TURNING = re.compile(r"[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
"""Marks that turn the direction of writing: they can make a line look like something it is not (Unicode TR 36; all that
have the property Bidi_Control, UAX 9)."""

UNSEEN = ((_CONTROL, "a character that is not text"), (_TURNING, "a mark that turns the writing"))
"""What no text may hold, and what it is called."""

DELETE = "delete it, or type the line anew"
"""What to do about it."""

LEFTOVERS = re.compile(
    r"^(\.|~\$|#.*#$|thumbs\.db$|desktop\.ini$|icon\r$)|(~|\.bak|\.orig|\.swp|\.tmp)$", re.IGNORECASE
)
"""Names of what systems and editors leave in a folder; never content."""


_WINDOWS = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])", re.IGNORECASE)
"""Names that no file may have there, whatever its ending (Microsoft, "Naming Files, Paths, and Namespaces")."""


def kept_by_windows(path: Path) -> str:
    """What is wrong with a file's name that Windows could not hold; empty where nothing is."""
    kept = _WINDOWS.fullmatch(path.name.partition(".")[0])
    return f"Windows keeps the name {kept[0]!r} for itself; give the file another" if kept else ""


def read_text(path: Path, problems: Problems) -> str | None:
    """The text of a UTF-8 file with ``\\n`` between lines; ``None`` where there is a problem, which is noted.

    A byte order mark at the beginning is left out. Never raises for whatever stands at ``path``.
    """
    try:
        return text_of(content_of(path))
    except NoTextError as error:
        problems.add(path, error.line, str(error))
        return None


def content_of(path: Path, largest: int = LARGEST) -> bytes:
    """What is in a file of at most ``largest`` bytes; ``NoTextError`` for whatever else stands at ``path``."""
    try:
        about = path.stat()
        if stat.S_ISREG(about.st_mode) and about.st_size > largest:
            raise NoTextError(0, f"{about.st_size:,} bytes is no file of the handbook's; at most {largest:,}")
        if not stat.S_ISREG(about.st_mode) and not stat.S_ISDIR(about.st_mode):
            raise NoTextError(0, "this is a device or a pipe; a file of this name is meant")
        return path.read_bytes()
    except NoTextError:
        raise
    except (OSError, ValueError) as error:
        raise NoTextError(0, _unreadable(path, error)) from None


class NoTextError(ValueError):
    """Content that is not text as people write it; says why, and on which line."""

    def __init__(self, line: int, what: str, remedy: str = "") -> None:
        super().__init__(f"{what}; {remedy}" if remedy else what)
        self.line = line
        """Line, from 1; 0 when the whole file is meant."""
        self.what, self.remedy = what, remedy


_OTHER = (
    (re.compile(rb"PK\x03\x04"), "a zip file, or a document of a word processor or a spreadsheet"),
    (re.compile(rb"\xd0\xcf\x11\xe0"), "a document of a word processor"),
    (re.compile(rb"\{\\rtf"), "a document of a word processor (RTF)"),
    (re.compile(rb"%PDF-"), "a PDF"),
    (re.compile(rb"\s*<(!doctype html|html|pre)\b", re.IGNORECASE), "a web page"),
)
"""How files begin that are no plain text, whatever their names say."""


SAVED_AS_TEXT = "save it as plain text (UTF-8)"
SAVED_ANEW = "open it in the editor it came from and save it as UTF-8"
"""What to do with a file in another coding."""


def other_kind(content: bytes) -> str:
    """What a file is by its first bytes, where that is no plain text; else empty."""
    return next((what for begins, what in _OTHER if begins.match(content.removeprefix(b"\xef\xbb\xbf"))), "")


def text_of(content: bytes) -> str:
    """The text of UTF-8 content in Unicode's composed form (NFC); ``NoTextError`` says what is wrong."""
    if what := other_kind(content):
        raise NoTextError(1, f"this is {what}", SAVED_AS_TEXT)
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or _every_other_is_zero(content[:64]):
        raise NoTextError(1, "saved as UTF-16", SAVED_ANEW)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise NoTextError(line, "not UTF-8 text", SAVED_ANEW) from None
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))
    if found := unseen(text):
        place, what = found
        raise NoTextError(text.count("\n", 0, place) + 1, what, DELETE)
    return text


def unforeseen(error: Exception) -> str:
    """What is said of a file on which a reader failed in a way that nobody thought of, with the place in the code."""
    said = " ".join(str(error).split())[:80]
    where = [f" at {Path(each.filename).name}:{each.lineno}" for each in extract_tb(error.__traceback__)[-1:]]
    kind = f"{type(error).__name__}: {said}{''.join(where)}"
    return f"this file could not be read ({kind}); please report this line, not the file"


@contextmanager
def last_net(path: Path | str, problems: Problems) -> Iterator[None]:
    """What a reader of the file ``path`` does: an error that nobody thought of is a problem of that file."""
    try:
        yield
    except (DataError, OSError):  # which say themselves what is wrong where
        raise
    except Exception as error:
        problems.add(path, 0, unforeseen(error))


def unseen(text: str) -> tuple[int, str] | None:
    """Where a sign stands that is no text or turns the writing, and what it is, as ``a mark … (U+202E)``."""
    for pattern, what in UNSEEN:
        if found := pattern.search(text):
            return found.start(), f"{what} (U+{ord(found[0]):04X})"
    return None


def _every_other_is_zero(content: bytes) -> bool:
    """Whether plain letters take two bytes each, as UTF-16 has them."""
    return len(content) > 7 and (not any(content[1::2]) or not any(content[::2]))


def _unreadable(path: Path, error: OSError | ValueError) -> str:
    number = error.errno if isinstance(error, OSError) else None
    folder = "this is a folder; a file of this name is meant"
    refused = "this file may not be read; change its permissions"
    reasons = {
        errno.ENOENT: "this file is missing",
        errno.ENOTDIR: "this file is missing",
        errno.ELOOP: "this link leads back to itself; put the file itself here",
        errno.EACCES: refused,
        errno.EPERM: refused,
        errno.EISDIR: folder,
        errno.ENAMETOOLONG: "this name is too long; give the file a short one",
    }
    if number == errno.ENOENT and path.is_symlink():
        return "this link leads nowhere; put the file itself here"
    if number == errno.ENOENT and (near := near_file(path)):
        return f"this file is missing; {near!r} is here: give it the name {path.name!r}"
    if number in (errno.EACCES, errno.EPERM) and path.is_dir():
        return folder  # Windows says so of folders
    return reasons.get(number or 0, f"this file could not be read: {error}")


def near_file(path: Path) -> str:
    """The name of a file that was probably meant to be ``path``; empty where there is none."""
    return next(iter(near_files(path)), "")


def near_files(path: Path) -> list[str]:
    """The names of all that were probably meant to be ``path``, or are copies of it, in order.

    Systems hide endings, and add some: ``band.yml.txt``, ``Band.yml``, ``band.yaml``, ``band (1).yml``.
    """
    stem = re.escape(path.stem.casefold())
    pattern = re.compile(rf"{stem}( \(\d+\)| - \w+){{0,2}}(\.[a-z]{{2,8}}){{0,2}}")
    try:
        names = sorted(each.name for each in path.parent.iterdir() if each.name != path.name and each.is_file())
    except OSError:
        return []
    return [name for name in names if pattern.fullmatch(name.casefold())]


def yaml_files(folder: Path) -> list[Path]:
    """The YAML files of a folder by name, without what systems and editors left there."""
    return sorted(path for path in folder.glob("*.y*ml") if not is_leftover(path))


def is_leftover(path: Path) -> bool:
    """Whether ``path`` is only what a system or an editor left behind."""
    return LEFTOVERS.search(path.name) is not None
