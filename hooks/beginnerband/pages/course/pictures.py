"""Engraved music of cards and sheets; each distinct excerpt is engraved once."""

from __future__ import annotations

from pathlib import Path

from beginnerband.music.line_breaks import ENLARGED, WIDE, line_breaks
from beginnerband.music.score import Line
from beginnerband.music.words import describe
from beginnerband.pages.course.card_music import ExcerptView
from beginnerband.pages.course.card_view import CardView
from beginnerband.pages.course.print_layout import CARD, SheetLayout, sheet_layout
from beginnerband.pages.course.sheet_view import SheetMusic, SheetView
from beginnerband.render.engrave import LARGE_LYRICS, LYRICS, PHONE, Engraving, Fitted, engrave, fitted, renamed
from beginnerband.render.write_musicxml import Staff


class Pictures:
    """Pictures by what they show; named anew for each place they stand in."""

    def __init__(self, cache: Path, english: str, paper: str = "") -> None:
        """``paper`` is the band's, as ``a4``; left out, sheets are laid out for the one with least room."""
        self._cache, self._english, self._paper = cache, english, paper
        self._made: dict[tuple[Line, str, tuple[str, ...], int, tuple[int, ...]], Engraving] = {}
        self._sheets: dict[str, tuple[list[tuple[SheetMusic, Fitted]], SheetLayout]] = {}

    def of_card(self, card: CardView) -> list[tuple[ExcerptView, Fitted]]:
        """Every excerpt of a card with its picture."""
        return [(piece, self._excerpt(piece)) for piece in card.excerpts]

    def of_paper(self, card: CardView) -> list[tuple[ExcerptView, Engraving]]:
        """The same for paper, with what is shown there alone: beside what it goes with."""
        found = [(piece, picture.wide) for piece, picture in self.of_card(card)]
        for piece in card.more:
            place = max(
                (place for place, (other, _) in enumerate(found) if other.item == piece.item), default=len(found)
            )
            found.insert(place + 1, (piece, self._on_card(piece, CARD)))
        return found

    def of_whole(self, piece: ExcerptView) -> Engraving | None:
        """All of what a card shows the beginning of, for paper; nothing where it shows all."""
        return self._on_card(piece.whole, CARD) if piece.whole else None

    def _excerpt(self, piece: ExcerptView) -> Fitted:
        return fitted(self._on_card(piece, CARD), CARD, lambda: self._on_card(piece, PHONE))

    def _on_card(self, piece: ExcerptView, width: int) -> Engraving:
        breaks = line_breaks([piece.line], width, letter=ENLARGED)
        return self._picture(piece.line, piece.clef, (), width, f"{piece.title}, {piece.caption}", breaks)

    def of_sheet(self, sheet: SheetView) -> tuple[list[tuple[SheetMusic, Fitted]], SheetLayout]:
        """Every piece of a sheet with its picture, and how to place them."""
        if sheet.uri not in self._sheets:
            self._sheets[sheet.uri] = self._placed(sheet)
        return self._sheets[sheet.uri]

    def _placed(self, sheet: SheetView) -> tuple[list[tuple[SheetMusic, Fitted]], SheetLayout]:
        drawn = [self._of(sheet, piece) for piece in sheet.music]
        layout = sheet_layout(sheet, [one.wide for one in drawn], self._paper)
        return list(zip(sheet.music, drawn, strict=True)), layout

    def _of(self, sheet: SheetView, piece: SheetMusic) -> Fitted:
        clef, title = sheet.player.reading.clef, f"{piece.title}, {sheet.name}"
        return fitted(
            self._picture(piece.line, clef, piece.under, WIDE, title, piece.breaks),
            WIDE,
            lambda: self._picture(piece.line, clef, piece.under, PHONE, title, piece.phone_breaks),
        )

    def _picture(
        self, line: Line, clef: str, under: tuple[str, ...], width: int, title: str, breaks: tuple[int, ...]
    ) -> Engraving:
        key = (line, clef, under, width, breaks)
        made = self._made.get(key)
        if made is None:
            words = describe(line, self._english, under)
            staves, lyrics = [Staff(line, clef=clef, under=under)], LARGE_LYRICS if width == CARD else LYRICS
            made = engrave(staves, title, words, self._cache, width, breaks, lyrics)
            self._made[key] = made
        return renamed(made, title, made.words)
