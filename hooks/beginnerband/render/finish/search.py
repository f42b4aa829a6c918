"""The search index, so that a leader finds a thing by whatever name they know it by.

Every browser that searches reads the whole index, on a phone too; so it is kept short as well. The other half, what is
done with the words a leader types, is in ``pages/shared/search/``.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache
from html import escape
from pathlib import Path
from typing import Any

INDEX = Path("search/search_index.json")
"""The index a page from the web reads."""
INDEX_FROM_DISK = Path("search/search_index.js")
"""The same as a script, for a page opened from disk."""
LONGEST_TEXT = 600
"""Characters of one section that are searched; its title and its first paragraphs say what it is about."""
LONGEST_ADVICE = 3000
"""The same where what somebody asks may stand in any sentence: in the guide, and on pages about the handbook itself."""

WORDS = "search/words.json"
"""What ``content/search.yml`` says, on its way into the index; not part of the finished site."""

ENTRIES = "search/entries.json"
"""Entries of lists, as the glossary's words, which are found one by one: a list of objects with the ``location``,
``title``, ``text`` and ``tags`` of each, and its ``worth``, from 0 to 1, beside a page of that title. On its way into
the index too."""

BUILDERS = "tables/blocks.html"
"""A page found by what it is for alone: its parts show every table there is once more."""

ALSO = {"look-up.html": "What a fingering can sound: 1-2, 1-3, 2-3, 1-2-3, 1-4, 2-4, 1-2-4."}
"""What pages hold that is drawn by a script or stands in tables, by location: a leader types it all the same."""

_FINGERING = re.compile(r"\b\d(?:-\d)+\b")
# One player's line of a tune is on the tune's page; as results of their own they would bury it.
_ONE_PLAYERS = re.compile(r"^(tunes|pieces)/.*#(h-sheet|parts|drums|about)")
_MUSIC = re.compile(r"(tunes|pieces)/(?!index\.html|your-own|metronome|concert)")
_KIND = {"tunes": "tune", "pieces": "piece in parts"}
"""What music is asked for as, beside its title."""
_KEY = re.compile(r"^(?:Single )?(?:[A-G][♭♯]? )(?!horn$)|^Single ")
_ADVICE = re.compile(r"(guide|tables)/|(look-up|share|set-up)\b|(tunes|pieces)/your-own|course/write-your-own")
_BARS = re.compile(r"(?:(?<=>)|\A)[^<>]*\bBar 1: [^<]*")
_BULK = re.compile(r"<(table|svg|pre)\b.*?</\1>", re.DOTALL)
_SPACE = re.compile(r"\s+")
# What every page of the guide ends with, and what stands above the words for a picture: no page is looked for by it.
_EVERYWHERE = re.compile(
    r"<p>(?:Back to the lesson|Where this page comes from)</p>.*|\bThe picture in words\b", re.DOTALL
)


Names = Sequence[Sequence[str]]
"""Names of one thing, for each thing that has several."""


def widen(site: Path) -> None:
    """Rewrite the index of ``site``: other names added to each section, bulk left out. Does nothing without one."""
    path, words = site / INDEX, site / WORDS
    said = json.loads(words.read_text(encoding="utf-8")) if words.is_file() else {"same": [], "pages": {}}
    listing = site / ENTRIES
    entries = json.loads(listing.read_text(encoding="utf-8")) if listing.is_file() else []
    words.unlink(missing_ok=True)
    listing.unlink(missing_ok=True)
    if not path.is_file():
        return
    pages = {
        uri.removesuffix(".md") + ".html": [escape(phrase, quote=False) for phrase in phrases]
        for uri, phrases in said["pages"].items()
    }
    index = json.loads(path.read_text(encoding="utf-8"))
    listed = {entry["location"].split("#")[0] for entry in entries}  # whose own sections say the same again
    docs = [doc for doc in index["docs"] if not _left_out(doc["location"], listed)]
    index["docs"] = [section(doc, said["same"], pages.get(doc["location"], ())) for doc in docs] + entries
    text = json.dumps(index, ensure_ascii=False, separators=(",", ":"))
    path.write_text(text, encoding="utf-8", newline="\n")
    (site / INDEX_FROM_DISK).write_text(f"var __index = {text}", encoding="utf-8", newline="\n")


def _left_out(location: str, listed: Collection[str]) -> bool:
    page, _, part = location.partition("#")
    return bool(_ONE_PLAYERS.match(location) or (part and (page in listed or page == BUILDERS)))


def section(doc: Mapping[str, Any], same: Names, words: Sequence[str] = ()) -> dict[str, Any]:
    """One section of the index with its other names: as tags where its title has the name, else as a sentence.

    ``words`` are what a page is looked for by; they and the words of its title become tags, which weigh most.
    """
    place = str(doc.get("location", ""))
    longest = LONGEST_ADVICE if _ADVICE.match(place) else LONGEST_TEXT
    title, text = unbroken(str(doc["title"])), unbroken(shortened(str(doc["text"]), longest))
    text += unbroken(f"<p>{ALSO[place]}</p>" if place in ALSO else "")
    widened = {**doc, "title": title, "text": text}
    music = _MUSIC.match(place)  # a title there is a name: the bells of a song are no glockenspiel
    plain = [_KEY.sub("", title)] if place.startswith("instruments/") else []  # nobody asks for the B♭ cornet
    about = music or place.startswith("guide/")  # and a page about an instrument is not the instrument's own
    called = () if about else other_names(title, same)
    kind = _KIND.get(place.split("/")[0], "") if music and not re.search("#|rehearse/", place) else ""
    tags = [
        *doc.get("tags", ()),
        *([f"{title} {kind}"] if kind else ()),
        *([title] if words else ()),
        *words,
        *(name for name in plain if name != title),
        *called,
    ]
    if tags:
        widened["tags"] = tags
    more = [] if music else [name for name in other_names(text, same) if name not in tags]
    if more:
        widened["text"] = f"{text}<p>Also called: {', '.join(more)}.</p>"
    return widened


def unbroken(text: str) -> str:
    """``text`` with the hyphens inside fingerings made non-breaking, so that 1-3 is one word and not two numbers."""
    return _FINGERING.sub(lambda match: match[0].replace("-", "\u2011"), text)


def other_names(text: str, same: Names) -> list[str]:
    """Other names for what ``text`` names: ``alto horn`` for a tenor horn."""
    found: dict[str, None] = {}
    plain = text.casefold()
    for names in same:
        present = [name for name in names if name.casefold() in plain and _word(name).search(text)]
        if present:
            found |= {name: None for name in names if name not in present}
    return [name for name in found if name.casefold() not in plain or not _word(name).search(text)]


def shortened(text: str, longest: int = LONGEST_TEXT) -> str:
    """``text`` without tables, drawings and music read out bar by bar, cut at a paragraph's end once ``longest``."""
    kept, length = [], 0
    for part in re.split(
        r"(?<=</p>)|(?<=</li>)", _SPACE.sub(" ", _BARS.sub(" ", _EVERYWHERE.sub(" ", _BULK.sub(" ", text))))
    ):
        kept.append(part)
        length += len(part)
        if length > longest:
            break
    return _closed("".join(kept)).strip()


def _closed(html: str) -> str:
    """``html`` with the lists closed that a cut left open."""
    open_tags: list[str] = []
    for slash, name in re.findall(r"<(/?)(ul|ol|div|li|blockquote|section)\b[^>]*>", html):
        if not slash:
            open_tags.append(name)
        elif name in open_tags:
            while open_tags.pop() != name:
                pass
    return html + "".join(f"</{name}>" for name in reversed(open_tags))


@lru_cache(maxsize=128)
def _word(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![^\W_]){re.escape(name)}(?:s\b|(?![^\W_]))", re.IGNORECASE)
