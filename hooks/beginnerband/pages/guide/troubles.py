"""The trouble table and the decision path, as blocks."""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup

from beginnerband.data.troubles import START, Trouble
from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.guide.room import fact, rich
from beginnerband.render.html import relative, render

PAGE = "guide/troubles.md"
"""Where the trouble table is."""


def trouble(context: Context, args: Args) -> str:
    """``[[trouble no-sound]]``: a link to a row of the trouble table, named by its symptom."""
    args.only(words=1)
    table = context.book.guide.troubles.troubles
    trouble_id = args.one_of("id", table)
    link = relative(context.uri, f"{PAGE}#{trouble_id}")
    return str(Markup('<a href="{}">{}</a>').format(link, table[trouble_id].symptom))


def trouble_path(context: Context, args: Args) -> str:
    """``[[trouble-path]]``: questions that open one another, down to the first thing to try."""
    args.only()
    return str(render("guide/path.html", uri=context.uri, question=_question(context, START)))


def _question(context: Context, question_id: str) -> dict[str, object]:
    question = context.book.guide.troubles.path[question_id]
    return {
        "id": question_id,
        "ask": question.ask,
        "answers": [(answer.say, _next(context, answer.to)) for answer in question.answers],
    }


def _next(context: Context, to: str) -> dict[str, object]:
    table = context.book.guide.troubles
    if to in table.path:
        return _question(context, to)
    return _row(context, to, table.troubles[to])


def trouble_table(context: Context, args: Args) -> str:
    """``[[trouble-table]]``: every trouble with its causes, searchable."""
    args.only()
    table = context.book.guide.troubles.troubles
    return str(
        render("guide/troubles.html", rows=[_row(context, key, item) for key, item in table.items()], uri=context.uri)
    )


def _row(context: Context, trouble_id: str, item: Trouble) -> dict[str, object]:
    return {
        "id": trouble_id,
        "symptom": item.symptom,
        "also": ", ".join(item.also),
        "stop": rich(context, item.stop),
        "facts": _facts(context, item.sources),
        "causes": [
            {
                "cause": rich(context, cause.cause),
                "check": rich(context, cause.check),
                "do": rich(context, cause.do),
                "page": (f"guide/{cause.page}.md", _title(context, cause.page)),
            }
            for cause in item.causes
        ],
    }


def _facts(context: Context, sources: Iterable[str]) -> Markup:
    return Markup("").join(Markup(fact(context, Args((), {"src": source}))) for source in sources)


def _title(context: Context, name: str) -> str:
    page = context.book.guide.page(name)
    return page.title if page else name


BLOCKS = {"trouble": trouble, "trouble-path": trouble_path, "trouble-table": trouble_table}
