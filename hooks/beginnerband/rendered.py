"""Pages as the site engine finished them, kept so that only what changed is rendered again.

A page goes through steps: Markdown becomes HTML, terms are explained, its words go into the search index, the theme is
put around it. Each step is kept with a digest of all that goes into it, and done again only when that is another. What
the theme shows of the navigation depends on where a page stands: :func:`seen_from` says what that is.

Nothing here imports the site engine: what is asked of its pages and sections is in the protocols.
"""

from __future__ import annotations

import pickle
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol, TypeVar, cast

from beginnerband.digest import Digests, code
from beginnerband.wholefile import drop_older, write_whole

Made = TypeVar("Made")

SHOWN_OF_OTHERS = ("icon", "status", "subtitle")
"""Front matter of a page that the navigation of other pages shows."""

_INLINE = "(?:b|br|button|caption|col|em|i|img|input|label|option|select|small|strong|tbody|td|th|thead|tr)"
_ATTRIBUTES = r'(?:\s(?:[^>"]|"[^"]*")*)?'
_UNSEEN = re.compile(f"</?{_INLINE}{_ATTRIBUTES}>")
_LEFT_OUT = re.compile(rf"<{_INLINE}\s[^>]*data-search-exclude")


class Template(Protocol):
    """A page's template."""

    def render(self, context: Mapping[str, Any]) -> str:
        """The whole page."""


class Rendered:
    """What was made of every page, in one folder a state of the code and settings."""

    def __init__(self, cache: Path, settings: Iterable[object]) -> None:
        """``settings`` are all that every page depends on beside the code, such as the engine's configuration."""
        state = Digests().of((code(), tuple(settings))).hex()
        self._folder = cache / "pages" / state
        drop_older(self._folder)
        self._page = ""
        self._kept: dict[str, tuple[bytes, Any]] = {}
        self._changed = False
        self.made = 0
        """Pages that the theme was put around anew."""

    def templates(self) -> Path:
        """The folder for the theme's templates, compiled."""
        folder = self._folder / "templates"
        folder.mkdir(exist_ok=True)
        return folder

    def step(self, page: str, name: str, made_of: tuple[object, ...], make: Callable[[], Made]) -> Made:
        """What ``make`` gives, or what it gave when ``made_of``, which is all it depends on, was as it is now.

        What it gives must be such as can be pickled.
        """
        self._open(page)
        now = Digests().of(made_of)
        then, made = self._kept.get(name, (b"", None))
        if then != now:
            made = make()
            self._kept[name] = (now, made)
            self._changed = True
        return cast(Made, made)

    def _open(self, page: str) -> None:
        """Take the page at hand; pages come one by one, step by step."""
        if page == self._page:
            return
        self.close()
        self._page = page
        try:
            self._kept = pickle.loads(self._file().read_bytes())
        except (OSError, EOFError, pickle.UnpicklingError, AttributeError, ImportError, IndexError):
            self._kept = {}

    def close(self) -> None:
        """Write what has changed."""
        if self._changed:
            write_whole(self._file(), pickle.dumps(self._kept, pickle.HIGHEST_PROTOCOL))
        self._page, self._kept, self._changed = "", {}, False

    def _file(self) -> Path:
        return self._folder / f"{Digests().of(self._page).hex()}.pickle"


class Around:
    """Puts the theme around pages; stands for the engine's template environment, and leaves all else to it."""

    def __init__(self, environment: Any, rendered: Rendered) -> None:
        self._environment, self._rendered = environment, rendered

    def __getattr__(self, name: str) -> Any:
        return getattr(self._environment, name)

    def get_template(self, name: str, *args: Any, **kwargs: Any) -> Any:
        """A template whose pages are kept."""
        template = self._environment.get_template(name, *args, **kwargs)
        return _KeptTemplate(template, name, self._rendered)


class _KeptTemplate:
    def __init__(self, template: Template, name: str, rendered: Rendered) -> None:
        self._template, self._name, self._rendered = template, name, rendered

    def __getattr__(self, name: str) -> Any:
        return getattr(self._template, name)

    def render(self, context: Mapping[str, Any]) -> str:
        """The whole page."""
        page = context.get("page")
        if page is None:  # such as the page for addresses that lead nowhere
            return self._template.render(context)
        made_of = (
            self._name,
            page.content,
            page.title,
            page.meta,
            _contents(page.toc),
            *seen_from(page, context["nav"]),
        )

        def make() -> str:
            self._rendered.made += 1
            return self._template.render(context)

        return self._rendered.step(page.file.src_uri, "theme", made_of, make)


def seen_from(page: Any, nav: Any) -> tuple[object, ...]:
    """What the theme shows of the navigation on ``page``: all of the sections it is in, and where others begin."""
    around = [(other.title, other.url) if other else None for other in (page.previous_page, page.next_page)]
    home = nav.homepage.url if nav.homepage else ""
    return (page.url, page.canonical_url, page.edit_url, home, *around, _items(nav.items))


def _items(items: Sequence[Any]) -> tuple[object, ...]:
    return tuple(_item(item) for item in items)


def _item(item: Any) -> tuple[object, ...]:
    if not item.children:
        meta = getattr(item, "meta", None) or {}
        shown = tuple(meta.get(name) for name in SHOWN_OF_OTHERS)
        return (item.title, getattr(item, "url", ""), getattr(item, "is_index", False), *shown)
    if item.active:
        return ("open", item.title, _items(item.children))
    each = tuple(getattr(child, "is_index", False) for child in item.children)  # the theme leaves a blank line for each
    return ("shut", item.title, each, _first(item))


def _first(section: Any) -> tuple[object, ...]:
    """Where a section that is not open leads."""
    first = section.children[0]
    return _first(first) if first.children else (first.url,)


def _contents(toc: Iterable[Any]) -> tuple[object, ...]:
    return tuple((link.title, link.id, link.level, _contents(link.children)) for link in toc)


def converting(
    page: Any, files: Any, there: bytes, rendered: Rendered, warned: Callable[[], int]
) -> Callable[..., None]:
    """The page's own way from Markdown to HTML, but kept; used in its place.

    It depends on the Markdown and on which files there are (digest ``there``), since links are checked and put right
    meanwhile. What is warned of is not kept, or the warning would be given once only.
    """
    convert = page.render

    def render(*args: Any, **kwargs: Any) -> None:
        before = warned()

        def make() -> dict[str, Any] | None:
            convert(*args, **kwargs)
            return None if warned() > before else _state(page)

        kept = rendered.step(page.file.src_uri, "markdown", (page.markdown, there), make)
        if kept is not None:
            _restore(page, kept, files)
        elif page.content is None:
            convert(*args, **kwargs)

    return render


def digest_of(value: object) -> bytes:
    """One short value that stands for a long one in what steps are made of."""
    return Digests().of(value)


def names_of(files: Iterable[Any]) -> bytes:
    """Digest of which files there are."""
    return digest_of(tuple(sorted(file.src_uri for file in files)))


def indexing(index: Any, rendered: Rendered) -> Callable[[Any], None]:
    """The search index's own way to take in a page, but kept; used in its place."""
    add = index.add_entry_from_context

    def add_kept(page: Any) -> None:
        def make() -> list[dict[str, Any]]:
            before, whole = len(index.entries), page.content
            page.content = lightened(whole)
            add(page)
            page.content = whole
            made = list(index.entries[before:])
            del index.entries[before:]
            return made

        made_of = (page.content, page.title, page.meta, page.url, _contents(page.toc))
        index.entries.extend(rendered.step(page.file.src_uri, "search", made_of, make))

    return add_kept


def lightened(html: str) -> str:
    """``html`` without tags that the search index neither keeps nor heeds, which it reads in half the time."""
    return html if _LEFT_OUT.search(html) else _UNSEEN.sub("", html)


def _state(page: Any) -> dict[str, Any]:
    """What converting leaves in the engine's page."""
    links = {file.src_uri: anchors for file, anchors in (page.links_to_anchors or {}).items()}
    return {
        "content": page.content,
        "toc": page.toc,
        "_title_from_render": page._title_from_render,
        "present_anchor_ids": page.present_anchor_ids,
        "links_to_anchors": links,
    }


def _restore(page: Any, kept: Mapping[str, Any], files: Any) -> None:
    for name, value in kept.items():
        if name == "links_to_anchors":
            found = ((files.get_file_from_path(uri), anchors) for uri, anchors in value.items())
            value = {file: anchors for file, anchors in found if file is not None}
        setattr(page, name, value)
