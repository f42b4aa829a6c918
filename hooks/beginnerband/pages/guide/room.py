"""The guide's pages: what they are listed under, and the blocks that prose is written with."""

from __future__ import annotations

import json
import re
import string
from functools import partial

from markupsafe import Markup, escape

from beginnerband.data.book import Book
from beginnerband.data.glossary import id_of_term
from beginnerband.data.guide import GuidePage
from beginnerband.data.problems import did_you_mean
from beginnerband.data.search import SearchWords
from beginnerband.data.sources import COMMON_PRACTICE
from beginnerband.pages.blocks import Args, BlockError, Context
from beginnerband.pages.shared.links import lesson_title
from beginnerband.products import Products
from beginnerband.render import terms
from beginnerband.render.html import relative, render
from beginnerband.render.pictures import DRAWINGS
from beginnerband.teaching.wording import spelled

NAV = "Guide"
"""Section of the navigation."""

FEW = 4
"""Lessons shown on the way back before the rest is folded away."""

_INLINE = re.compile(r"\[\[(word|term|fact)\s+(.*?)\]\]|\*([^*]+)\*")


def contribute(book: Book, products: Products) -> None:
    """List the pages in the navigation and write the glossary for marking terms."""
    for section in book.guide.sections:
        for page in section.pages:
            alone = len(section.pages) == 1  # a section of one page would only be one more tap
            products.list_page(page.uri, page.title, (NAV,) if alone else (NAV, section.title))
    products.list_page("guide/words.md", "Words", (NAV,))
    products.list_page("guide/sources.md", "Where it comes from", (NAV,))
    products.asset(terms.FILE, json.dumps(glossary_data(book), ensure_ascii=False, indent=1, sort_keys=True))


def glossary_data(book: Book) -> dict[str, dict[str, object]]:
    """Terms as :data:`terms.FILE` holds them: meaning in plain text, and the forms to explain by themselves."""
    english = book.band.english
    return {
        term_id: {
            "name": term.word(english),
            "means": spelled(plain(book, term.means), english, book.names),
            "forms": list(term.forms(english)) if term.auto else [],
        }
        for term_id, term in book.guide.glossary.items()
    }


def plain(book: Book, text: str) -> str:
    """Text from data without its blocks: words of the band in place, sources and emphasis left out."""

    def swap(match: re.Match[str]) -> str:
        if match[3]:
            return match[3]
        return _spoken(book, match[2].split()) if match[1] in ("word", "term") else ""

    return _INLINE.sub(swap, text).strip()


def rich(context: Context, text: str) -> Markup:
    """Text from data as HTML: ``*so*`` for emphasis and the blocks of :data:`_INLINE`, all else escaped."""
    parts, end = [], 0
    for match in _INLINE.finditer(text):
        parts.append(escape(text[end : match.start()]))
        if match[3]:
            parts.append(Markup("<em>{}</em>").format(match[3]))
        else:
            parts.append(Markup(BLOCKS[match[1]](context, _args(match[2]))))
        end = match.end()
    return Markup("").join([*parts, escape(text[end:])])


def _args(text: str) -> Args:
    pairs = [token.partition("=") for token in text.split()]
    return Args(tuple(key for key, sign, _ in pairs if not sign), {key: value for key, sign, value in pairs if sign})


def _term_id(book: Book, word: str) -> str:
    try:
        return id_of_term(word, book.guide.glossary)
    except ValueError as error:
        raise BlockError(str(error)) from None


def _spoken(book: Book, words: list[str]) -> str:
    """The band's word for a term: ``["quarter-note", "plural"]`` gives ``crotchets``; a capital is kept."""
    found = book.guide.glossary[_term_id(book, words[0])]
    return found.spoken(book.band.english, "plural" in words[1:], capital=words[0][:1].isupper())


def term(context: Context, args: Args) -> str:
    """``[[term embouchure]]`` or ``[[term embouchure "other words"]]``: a term with its explanation."""
    args.only(words=2)
    if not args.words:
        raise BlockError("which term? write [[term embouchure]]")
    term_id = _term_id(context.book, args.words[0])
    shown = args.words[1] if len(args.words) > 1 else _spoken(context.book, [args.words[0]])
    return str(Markup('<span data-term="{}">{}</span>').format(term_id, shown))


def word(context: Context, args: Args) -> str:
    """``[[word quarter-note]]``, ``[[word quarter-note plural]]``, ``[[word Quarter-note]]``: as this band says it."""
    args.only(words=2)
    if not args.words:
        raise BlockError("which word? write [[word quarter-note]]")
    if args.words[1:] not in ((), ("plural",)):
        raise BlockError(f"{args.words[1]!r} is not expected here; only 'plural' may follow the word")
    term_id = _term_id(context.book, args.words[0])
    return str(Markup('<span data-word="{}">{}</span>').format(term_id, _spoken(context.book, list(args.words))))


def fact(context: Context, args: Args) -> str:
    """``[[fact src=niosh-1998]]``: where the claim before it comes from; no mark for common practice."""
    args.only("src")
    sources = context.book.guide.sources
    if not args.named.get("src"):
        raise BlockError("a claim needs its source; write src=ID from content/sources.yml, or src=common-practice")
    source_id = args.one_of("src", dict(sources))
    if source_id == COMMON_PRACTICE:
        return ""
    page = _guide_page(context)
    if page and source_id in page.sources:
        mark, link = letter(page.sources.index(source_id)), f"#source-{source_id}"
    else:
        mark, link = "source", relative(context.uri, f"guide/sources.md#{source_id}")
    return str(
        Markup('<sup class="bb-fact" data-search-exclude><a href="{}" aria-label="Source: {}">{}</a></sup>').format(
            link, sources[source_id].title, mark
        )
    )


def letter(index: int) -> str:
    """Mark of the source number ``index`` of a page: a, b, … z, aa, …"""
    letters = string.ascii_lowercase
    return letters[index] if index < len(letters) else letter(index // 26 - 1) + letters[index % 26]


def _guide_page(context: Context) -> GuidePage | None:
    return context.book.guide.page(context.uri.removeprefix("guide/").removesuffix(".md"))


def picture(context: Context, args: Args) -> str:
    """``[[picture sitting-two-ways]]``: a drawing with its caption and text alternative."""
    args.only("id", words=1)
    picture_id = args.one_of("id", dict(context.book.guide.pictures))
    if picture_id not in DRAWINGS:
        raise BlockError(f"nothing draws the picture {picture_id!r}{did_you_mean(picture_id, DRAWINGS)}")
    return str(_figure(context, picture_id))


def _figure(context: Context, picture_id: str) -> Markup:
    written = context.book.guide.pictures[picture_id]
    said = {key: plain(context.book, getattr(written, key)) for key in ("title", "text", "caption")}
    shown = written.model_copy(update=said)
    facts = Markup("").join(Markup(fact(context, Args((), {"src": source}))) for source in shown.sources)
    return render(
        "guide/picture.html", id=picture_id, picture=shown, drawn=DRAWINGS[picture_id](context.book), facts=facts
    )


def back(context: Context, args: Args) -> str:
    """``[[back]]``: the sources of the page and the way back to the lessons that need it; every guide page ends so."""
    args.only()
    page = _guide_page(context)
    if page is None:
        raise BlockError("only pages of the guide have a way back")
    sources = [
        (letter(n), source_id, context.book.guide.sources[source_id]) for n, source_id in enumerate(page.sources)
    ]
    lessons = lessons_for(context, page)
    few = len(lessons) if len(lessons) <= FEW + 1 else FEW
    return str(render("guide/back.html", uri=context.uri, sources=sources, lessons=lessons, few=few))


def lessons_for(context: Context, page: GuidePage) -> list[tuple[str, str]]:
    """Lessons that need the page, as (uri, title): those with a step that rests on it, and the first of its stages."""
    course = context.book.course
    lessons = course.course.lessons if course else ()
    firsts = [next((lesson for lesson in lessons if lesson.stage == stage), None) for stage in page.stages]
    found = [lesson for lesson in lessons if lesson in firsts or any(step.guide == page.name for step in lesson.steps)]
    ways = [(f"course/{lesson.id}.md", lesson_title(lesson)) for lesson in found]
    return [way for way in ways if way[0] in context.products.pages] or [("index.md", "Home")]


QUICK = ("troubles", "words", "sources")
"""Pages wanted in a hurry, by name, above the list of all."""


def filter_words(search: SearchWords, page: GuidePage) -> str:
    """The words ``page`` is looked for by that its row in the list does not show; what holds another stands for it."""
    shown = f"{page.title} {page.summary}".lower()
    every = {word for phrase in search.pages.get(page.uri, ()) for word in phrase.lower().split()} - set(search.drop)
    wanted = sorted((word for word in every if word not in shown), key=lambda word: (-len(word), word))
    kept: list[str] = []
    for word in wanted:
        if not any(word in longer for longer in kept):
            kept.append(word)
    return " ".join(kept)


def guide_list(context: Context, args: Args) -> str:
    """``[[guide-list]]``: every page of the guide by section."""
    args.only()
    return str(
        render(
            "guide/list.html",
            uri=context.uri,
            sections=context.book.guide.sections,
            words=partial(filter_words, context.book.search),
            quick=[page for page in map(context.book.guide.page, QUICK) if page],
        )
    )


def glossary(context: Context, args: Args) -> str:
    """``[[glossary]]``: every term, by letter."""
    args.only()
    book, english = context.book, context.book.band.english
    other = "american" if english == "british" else "british"
    rows: list[dict[str, object]] = []
    for term_id, item in book.guide.glossary.items():
        name, elsewhere = item.word(english), item.word(other)
        page = book.guide.page(item.page)
        rows.append(
            {
                "id": term_id,
                "name": name,
                "elsewhere": elsewhere if elsewhere != name else "",
                "means": rich(context, item.means),
                "page": (f"guide/{item.page}.md", page.title if page else item.page),
            }
        )
    rows.sort(key=lambda row: str(row["name"]).lower())
    letters: dict[str, list[dict[str, object]]] = {}
    for row in rows:
        letters.setdefault(str(row["name"])[0].upper(), []).append(row)
    return str(render("guide/glossary.html", uri=context.uri, letters=letters, other=other.capitalize()))


def sources(context: Context, args: Args) -> str:
    """``[[sources]]``: every source, and the pages that lean on it."""
    args.only()
    guide = context.book.guide
    used = {source_id: [page for page in guide.pages() if source_id in page.sources] for source_id in guide.sources}
    used[COMMON_PRACTICE] = list(guide.pages())
    return str(render("guide/sources.html", uri=context.uri, sources=guide.sources, used=used))


BLOCKS = {
    "term": term,
    "word": word,
    "fact": fact,
    "picture": picture,
    "back": back,
    "guide-list": guide_list,
    "glossary": glossary,
    "sources": sources,
}
