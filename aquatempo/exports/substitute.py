"""The substitute's sheet: what a colleague needs who takes over the class today.

Everything on it is read, not glanced at, so it is set smaller than the card: 12 pt.
"""

from __future__ import annotations

from aquatempo.exports.sheets import FOOT_HEIGHT, MARGIN, Sheets, clock
from aquatempo.records.deck import DeckBook, DeckTrack, MoveNote

__all__ = ["substitute_sheet"]

TEXT_PT, HEADING_PT = 12.0, 16.0


def substitute_sheet(book: DeckBook, size: str = "a5") -> bytes:
    """Return the PDF: the class, the site's blanks, the moves, and the counts without sound."""
    sheets = Sheets(book, size)
    sheets.set_auto_page_break(True, margin=MARGIN + FOOT_HEIGHT)
    sheets.add_page()
    _heading(sheets, book.title, 22)
    for name, text in book.facts:
        _pair(sheets, name, text)
    _heading(sheets, sheets.words["site"])
    for key in ("site_rules", "site_lifeguard", "site_emergency", "site_screening"):
        _blank(sheets, sheets.words[key])
    _heading(sheets, sheets.words["moves"])
    for move in book.moves:
        _move(sheets, move)
    for number, track in enumerate(book.tracks, 1):
        _track(sheets, number, track)
    return bytes(sheets.output())


def _track(sheets: Sheets, number: int, track: DeckTrack) -> None:
    _heading(sheets, f"{number}  {track.title}")
    facts = [track.part, f"{track.tempo_bpm:.0f} bpm", clock(track.duration_s), track.rights]
    _text(sheets, " · ".join(fact for fact in facts if fact))
    for line in track.lines:
        details = ", ".join(line.details)
        name = f"{line.name} ({details})" if details else line.name
        _pair(sheets, f"{clock(line.clock_s)}  {line.counts}", f"{name}. {line.spelled}")


def _move(sheets: Sheets, move: MoveNote) -> None:
    words = [move.description]
    if move.sign:
        words.append(f"{sheets.words['sign']}: {move.sign}.")
    if move.easier:
        words.append(f"{sheets.words['easier']}: {move.easier}.")
    words += move.cautions
    _pair(sheets, move.name, " ".join(words))


def _heading(sheets: Sheets, words: str, size: float = HEADING_PT) -> None:
    if sheets.get_y() > sheets.h - MARGIN - FOOT_HEIGHT - 4 * size:
        sheets.add_page()
    sheets.ln(size * 0.4)
    sheets.set_font("text", "B", size)
    sheets.multi_cell(sheets.inner_width, size * 1.2, words, new_x="LMARGIN", new_y="NEXT")


def _pair(sheets: Sheets, name: str, words: str) -> None:
    sheets.set_font("text", "B", TEXT_PT)
    sheets.write(TEXT_PT * 1.3, f"{name}  ")
    sheets.set_font("text", "", TEXT_PT)
    sheets.write(TEXT_PT * 1.3, words)
    sheets.ln(TEXT_PT * 1.5)


def _blank(sheets: Sheets, name: str) -> None:
    """Write a question and a line to write on."""
    sheets.set_font("text", "B", TEXT_PT)
    sheets.cell(sheets.inner_width, TEXT_PT * 1.3, name, new_x="LMARGIN", new_y="NEXT")
    line_y = sheets.get_y() + TEXT_PT * 1.5
    sheets.set_line_width(0.6)
    sheets.line(MARGIN, line_y, MARGIN + sheets.inner_width, line_y)
    sheets.ln(TEXT_PT * 1.9)


def _text(sheets: Sheets, words: str) -> None:
    sheets.set_font("text", "", TEXT_PT)
    sheets.multi_cell(sheets.inner_width, TEXT_PT * 1.3, words, new_x="LMARGIN", new_y="NEXT")
