"""Cards and sheets as the print pack needs them: texts, and keys of pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace
from typing import Any

from markupsafe import Markup

from beginnerband.data.book import Book
from beginnerband.music.answer import answer
from beginnerband.music.fingering import Fingering
from beginnerband.music.instrument import Slide
from beginnerband.pages.course.card_music import ExcerptView
from beginnerband.pages.course.card_view import CardView, GroupView, NoteView
from beginnerband.pages.course.lesson_view import LessonView
from beginnerband.pages.course.pictures import Pictures
from beginnerband.pages.course.print_layout import CARD, card_layout
from beginnerband.pages.course.sheet_view import ByEar, SheetNote, SheetView
from beginnerband.pages.course.walked import walked
from beginnerband.pages.pieces.files import compact_score
from beginnerband.pages.pieces.view import known_view
from beginnerband.pages.shared.dates import day
from beginnerband.pages.shared.links import address_of
from beginnerband.pages.shared.paper import of_copy
from beginnerband.render.engrave import LARGE, Engraving, share_of
from beginnerband.render.fingers import picture as hand_picture
from beginnerband.render.fingers import words as hand_words
from beginnerband.render.print_pack import PrintPack
from beginnerband.render.qr import qr_svg
from beginnerband.render.staff import spoken, staff
from beginnerband.teaching.wording import spelled

DRAWN = 5
"""Most notes side by side that a card draws as the hand makes them."""


def lesson_values(book: Book, view: LessonView, pictures: Pictures, pack: PrintPack) -> dict[str, Any]:
    """One lesson for ``pack.typ``: each leader's card and every player's sheet, with the number of its players."""
    pieces = {"pieces": [piece.title for piece in view.pieces]}
    sheets = [
        _sheet(book, sheet, pictures, pack) | {"copies": max(sheet.player.count, 1)} | pieces for sheet in view.sheets
    ]
    scores = {"scores": list(_scores(book, view, pack))}
    cards = [_card(book, view, card, pictures, pack) | pieces | scores for card in view.cards]
    return {"cards": cards, "sheets": sheets}


def _scores(book: Book, view: LessonView, pack: PrintPack) -> Iterator[dict[str, Any]]:
    """The short score of each piece in parts."""
    named = {piece.uri for piece in view.pieces}
    for ident in view.card.lesson.pieces:
        if f"pieces/{ident}.md" in named:
            one = known_view(book, ident)
            score = compact_score(one, book.root / ".cache", book.band.english)
            picture = score.standalone(LARGE).replace("currentColor", "#000")
            yield {"title": one.piece.title, "picture": pack.add(picture), "words": score.words}


def pack_values(
    book: Book,
    title: str,
    lessons: Sequence[dict[str, Any]] = (),
    *,
    subtitle: str = "",
    contents: Sequence[str] = (),
    blank: bool = False,
) -> dict[str, Any]:
    """A whole file for ``pack.typ``: lessons to bind files of, contents by the titles of parts, or a blank card."""
    return {
        **of_copy(book),
        "title": title,
        "subtitle": subtitle,
        "contents": list(contents),
        "blank": blank,
        "lessons": list(lessons),
    }


def when(dates: tuple[Any, ...], english: str, minutes: int = 0) -> str:
    """Dates and length for a headline."""
    parts = [" and ".join(day(value, english) for value in dates)] if dates else []
    return " · ".join([*parts, *([f"{minutes} min"] if minutes else [])])


def _code(book: Book, uri: str, pack: PrintPack) -> dict[str, str]:
    address = address_of(book, uri)
    code = pack.add(qr_svg(address)) if address else ""
    return {"qr": code, "address": address, "short": address.removeprefix("https://")}


def _card(book: Book, view: LessonView, card: CardView, pictures: Pictures, pack: PrintPack) -> dict[str, Any]:
    lesson = card.lesson
    drawn, layout = pictures.of_paper(card), card_layout(card)
    few = all(len(notes) <= DRAWN for _, notes in card.rows)
    return {
        **_code(book, card.uri, pack),
        "size": layout.size,
        "behind": list(layout.behind),
        "band": book.band.name,
        "number": lesson.number,
        "title": lesson.title,
        "stage": card.stage + (" (spare lesson)" if lesson.spare else ""),
        "when": when(card.dates, book.band.english, lesson.minutes),
        "aim": lesson.aim,
        "head": card.head,
        "further": card.further_said,
        "percussion": card.percussion,
        "apart": len(view.rooms) > 1,
        "room": card.room,
        "first": card is view.card,
        "steps": [asdict(view.step) | {"from": f"from {view.start}"} for view in card.steps],
        "any-new": card.new,
        "fingering-word": card.ways,
        "groups": [
            {
                "name": group.name,
                "who": group.who,
                "notes": [
                    {
                        "written": note.written.letter_sign,
                        "which": note.which,
                        "fingering": note.fingering,
                        "concert": note.concert,
                        "new": note.new,
                        "hand": _hand(book, group, note, pack) if few else "",
                    }
                    if note
                    else {}
                    for note in notes
                ],
            }
            for group, notes in card.rows
        ],
        "walked": _walked_for_all(view, card, pack),
        "music": [
            {
                "title": piece.title,
                "caption": piece.caption,
                "begins": piece.begins,
                "item": piece.item,
                "reader": piece.reader,
                "rank": piece.rank,
                **_drawn(picture, pack),
                "whole": _drawn(whole, pack) if (whole := pictures.of_whole(piece)) else {},
                "verses": _verses(book, piece) if first else [],
            }
            for (piece, picture), first in zip(drawn, _firsts([piece.tune for piece, _ in drawn]), strict=True)
        ],
        "unseen": [{"title": piece.title, "reader": piece.reader, "by-ear": piece.by_ear} for piece in card.unseen],
        "ready": lesson.ready,
        "practice": [line.text for line in lesson.practice],
    }


def _drawn(picture: Engraving, pack: PrintPack) -> dict[str, Any]:
    """Music of a card, with the share of a column that it takes."""
    return {
        "share": share_of(picture, CARD),
        "picture": pack.add(picture.standalone(LARGE)),
        "words": picture.words,
    }


def _hand(book: Book, group: GroupView, note: NoteView, pack: PrintPack) -> str:
    """What the hand does for a note of a group, drawn; empty for mallets."""
    player = next(player for player in book.band.players if player.id in group.players.split())
    way = answer(player, note.written).way
    drawn = hand_picture(player.instrument, way, book.band.english) if way else Markup("")
    return pack.add(_file(drawn)) if drawn else ""


def _walked_for_all(view: LessonView, card: CardView, pack: PrintPack) -> list[dict[str, Any]]:
    """What the players of a card learn by ear, as it is walked: the rhythm alone, which is the same for all of them."""
    sheet = next((sheet for sheet in view.sheets if sheet.by_ear and sheet.player.id in card.players), None)
    return (
        [_walked(replace(piece, codes=("",) * len(piece.codes), words=(), apart=""), pack) for piece in sheet.by_ear]
        if sheet
        else []
    )


def _firsts(tunes: Sequence[str]) -> list[bool]:
    """Whether each stands there for the first time."""
    first = {tune: place for place, tune in reversed([*enumerate(tunes)])}
    return [first[tune] == place for place, tune in enumerate(tunes)]


def _verses(book: Book, piece: ExcerptView) -> list[str]:
    """The words to sing."""
    return list(book.tunes[piece.tune].verses) if piece.tune in book.tunes else []


def _sheet(book: Book, sheet: SheetView, pictures: Pictures, pack: PrintPack) -> dict[str, Any]:
    lesson = sheet.lesson
    drawn, layout = pictures.of_sheet(sheet)
    return {
        **_code(book, sheet.uri, pack),
        "band": book.band.name,
        "number": lesson.number,
        "title": lesson.title,
        "when": when(sheet.dates, book.band.english),
        "instrument": sheet.name,
        "aim": sheet.aim,
        "reads": sheet.reads,
        "notes": [_note(sheet, note, book.band.english, pack) for note in layout.boxes(sheet)],
        "only-new": layout.only_new,
        "plain": layout.plain,
        "beside": layout.beside,
        "run-on": layout.run_on,
        "scale": layout.scale,
        "across": layout.across,
        "by-ear": layout.named(sheet),
        "walked": [_walked(piece, pack) for piece in layout.walks(sheet)],
        "stars": list(sheet.stars) if layout.walked else [],
        "do": sheet.do,
        "music": [
            {
                "title": piece.title,
                "picture": pack.add(picture.wide.standalone()),
                "words": picture.wide.words,
                "share": picture.share,
                "turn": place in layout.turns,
            }
            for place, (piece, picture) in enumerate(drawn)
        ],
        "suggested": sheet.suggested,
        "practice": list(sheet.practice),
        "to-play": sheet.to_play,
        "signed": sheet.signed,
        "for-what": spelled(f"A {'star' if sheet.signed else 'tick'} for each that went well", book.band.english),
    }


def _walked(piece: ByEar, pack: PrintPack) -> dict[str, Any]:
    drawn = walked(piece.line, piece.codes, piece.title)
    return {
        "title": piece.title,
        "apart": piece.apart,
        "new": piece.new,
        "picture": pack.add(str(drawn)),
        "alt": f"{piece.title}, as it is walked",
        "words": list(piece.words),
    }


def _note(sheet: SheetView, note: SheetNote, english: str, pack: PrintPack) -> dict[str, Any]:
    _, drawn, hand, how = sheet_note(sheet, note, english)
    return {
        "name": note.answer.written.letter_sign,
        "which": note.which,
        "new": note.new,
        "words": spoken(note.answer.written),
        "staff": pack.add(_file(drawn)) if drawn else "",
        "hand": pack.add(_file(hand)) if hand else "",
        "how": how,
    }


def sheet_note(sheet: SheetView, note: SheetNote, english: str) -> tuple[SheetNote, Markup, Markup, str]:
    """A note of a sheet with its staff (empty before players read), its fingering drawn, and in a word or two."""
    drawn = staff([note.answer.written], sheet.player.reading.clef) if sheet.reads else Markup("")
    way = note.answer.way
    hand = hand_picture(sheet.player.instrument, way, english) if way else Markup("")
    return note, drawn, hand, hand_short(sheet, way, english)


def hand_short(sheet: SheetView, way: Fingering | None, english: str) -> str:
    """A fingering in a word or two: ``1 and 2``, ``open``, ``4th position``."""
    if way is None:
        return ""
    words = hand_words(sheet.player.instrument, way, english)
    if isinstance(sheet.player.instrument.mechanism, Slide):
        return words.split(":")[0]
    return "open" if not way.valves else words.removeprefix("Press ")


def _file(svg: Markup) -> str:
    """An inline picture as a file: with its namespace."""
    text = str(svg)
    return text if "xmlns=" in text else text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
