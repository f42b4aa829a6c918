"""The home page's computed parts, and the small blocks every page may use."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass

from markupsafe import Markup, escape

from beginnerband.pages.blocks import Args, Context
from beginnerband.pages.shared.links import TODAY
from beginnerband.pages.shared.readers import band_readers
from beginnerband.render.html import render


@dataclass(frozen=True, slots=True)
class Door:
    """A way from the home page into one room of the handbook."""

    uri: str
    """The room's first page."""
    _: KW_ONLY
    title: str
    """What it is called."""
    says: str
    """What one finds there, one line."""


DOORS = (
    Door(TODAY, title="What can we play today?", says="Tunes and pieces the whole band can play at the coming lesson."),
    Door(
        "tunes/metronome-and-tuning.md", title="Metronome and tuning tone", says="A beat to keep to, a note to tune to."
    ),
    Door(
        "band/plan.md", title="This band’s people", says="Who plays what, who is covered, seats, timetable and papers."
    ),
    Door(
        "course/index.md",
        title="The course",
        says="Lesson cards, week by week, so that nobody meets a note they were not taught.",
    ),
    Door("tunes/index.md", title="Tunes", says="Graded tunes, for everyone together, with a part for each instrument."),
    Door("pieces/index.md", title="Pieces", says="Tunes in parts, shared out among your players."),
    Door(
        "instruments/index.md",
        title="Instruments",
        says="Every fingering, what each can play, and how to move between them.",
    ),
    Door("tables/moving.md", title="Moving a player", says="From one instrument to another: what changes, what stays."),
    Door("tables/index.md", title="Tables", says="Transposition, keys, ranges, and who has the same fingering."),
    Door(
        "guide/index.md", title="The guide", says="What to say, look for and listen for; health, hygiene and lifting."
    ),
    Door("guide/troubles.md", title="What is wrong?", says="From what you hear to what to try."),
    Door(
        "set-up.md", title="Set up your band", says="A form: your instruments, dates and people, and what is covered."
    ),
    Door("share.md", title="Take it with you", says="On a phone, on a stick, on paper."),
)
"""The rooms in the order a leader needs them; a door is shown when its room is there."""


def band_name(context: Context, args: Args) -> str:
    """``[[band-name]]``: the name of the band."""
    args.only()
    return str(escape(context.book.band.name))


def band_note(context: Context, args: Args) -> str:
    """``[[band-note]]``: the band's line about itself, a paragraph."""
    args.only()
    return str(Markup("<p>{}</p>").format(context.book.band.note))


def band_look_up(context: Context, args: Args) -> str:
    """``[[band-look-up]]``: the band's instruments, each a link into the look-up."""
    args.only()
    return render("home/home_look_up.html", readers=band_readers(context.book), uri=context.uri)


def doors(context: Context, args: Args) -> str:
    """``[[doors]]``: the rooms of the handbook, each with a line about it."""
    args.only()
    folder = context.book.root / "handbook"
    open_ = [door for door in DOORS if door.uri in context.products.pages or (folder / door.uri).is_file()]
    return render("home/home_doors.html", doors=open_, uri=context.uri)


BLOCKS = {"band-name": band_name, "band-note": band_note, "band-look-up": band_look_up, "doors": doors}
