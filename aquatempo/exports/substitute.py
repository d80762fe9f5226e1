"""The substitute's sheet: what a colleague needs who takes over the class today.

Everything on it is read, not glanced at, so it is set smaller than the card: 12 pt.
"""

from __future__ import annotations

from aquatempo.exports.sheets import FOOT_HEIGHT, MARGIN, Sheets
from aquatempo.records.deck import DeckBook, DeckLine, DeckTrack, MoveNote
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import clock

__all__ = ["substitute_sheet"]

TEXT_PT, HEADING_PT, TITLE_PT = 12.0, 16.0, 22.0
LEADING = 1.25
CLOCK_WIDTH, COUNTS_WIDTH, FACT_WIDTH, GAP = 32.0, 30.0, 84.0, 10.0


def substitute_sheet(book: DeckBook, size: str = "a5") -> bytes:
    """Return the PDF: the class, the site's blanks, the moves, and the counts without sound.

    book: lines of the class; size: name of the paper.
    """
    sheets = Sheets(book, size)
    sheets.set_auto_page_break(False)
    sheets.add_page()
    sheets.set_y(MARGIN)
    _heading(sheets, book.title, TITLE_PT)
    for name, text in book.facts:
        _fact(sheets, name, text)
    _heading(sheets, sheets.words["site"])
    for key in ("site_rules", "site_lifeguard", "site_emergency", "site_screening"):
        _blank(sheets, sheets.words[key])
    _heading(sheets, sheets.words["moves"])
    for move in book.moves:
        _move(sheets, move)
    _heading(sheets, sheets.words["tracks"], after=110.0)
    for number, track in enumerate(book.tracks, 1):
        _track(sheets, number, track)
    return bytes(sheets.output())


def _track(sheets: Sheets, number: int, track: DeckTrack) -> None:
    tempo = f"{track.tempo_bpm:.0f} bpm" if track.file_name else sheets.words["by_clock"]
    facts = [track.part, tempo, clock(track.duration_s), track.rights]
    first = _line_height(sheets, track.lines[0]) if track.lines else 0.0
    _room_for(sheets, 2.6 * HEADING_PT + first)
    sheets.set_y(sheets.get_y() + 5)
    _words(sheets, MARGIN, f"{number}  {track.title}", 14, "B")
    _words(sheets, MARGIN, " · ".join(fact for fact in facts if fact), TEXT_PT)
    for line in track.lines:
        _room_for(sheets, _line_height(sheets, line))
        y = sheets.get_y() + 3
        sheets.set_line_width(0.5)
        sheets.line(MARGIN, y - 1, MARGIN + sheets.inner_width, y - 1)
        sheets.fitted(MARGIN, y + 1, CLOCK_WIDTH, clock(line.clock_s), TEXT_PT)
        sheets.fitted(MARGIN + CLOCK_WIDTH, y + 1, COUNTS_WIDTH, f"{line.counts}", TEXT_PT, "B")
        sheets.set_y(y)
        x = MARGIN + CLOCK_WIDTH + COUNTS_WIDTH
        beside = _beside(sheets, line)
        if beside:
            row = sheets.get_y()
            level = row + TEXT_PT * (LEADING - 1.05) / 2  # both stand on one line
            sheets.fitted(x + beside, level, sheets.inner_width, _details(line), TEXT_PT)
            sheets.set_y(row)
        _words(sheets, x, _named(sheets, line), TEXT_PT, "B")
        if not beside:
            _words(sheets, x, _details(line), TEXT_PT)
        _words(sheets, x, line.spelled, TEXT_PT)


def _details(line: DeckLine) -> str:
    return " · ".join(line.details)


def _beside(sheets: Sheets, line: DeckLine) -> float:
    """Return where the details start beside the name [pt], 0 where they need their own row."""
    start = sheets.width_of(_named(sheets, line), TEXT_PT, "B") + GAP
    room = sheets.inner_width - CLOCK_WIDTH - COUNTS_WIDTH
    return start if start + sheets.width_of(_details(line), TEXT_PT) <= room else 0.0


def _named(sheets: Sheets, line: DeckLine) -> str:
    whole = line.kind is PhraseKind.PHRASE
    return line.name if whole else f"{sheets.words[line.kind]}: {line.name}"


def _line_height(sheets: Sheets, line: DeckLine) -> float:
    x = MARGIN + CLOCK_WIDTH + COUNTS_WIDTH
    details = "" if _beside(sheets, line) else _details(line)
    rows = ((_named(sheets, line), "B"), (details, ""), (line.spelled, ""))
    return 4 + sum(_height(sheets, x, words, TEXT_PT, style) for words, style in rows)


def _move(sheets: Sheets, move: MoveNote) -> None:
    told = [(move.description, "")]
    if move.sign:
        told.append((f"{sheets.words['sign']}: {move.sign}", ""))
    if move.easier:
        told.append((f"{sheets.words['easier']}: {move.easier}", ""))
    if move.cautions:
        told.append((f"{sheets.words['careful']}: {'; '.join(move.cautions)}", ""))
    x = MARGIN + GAP
    height = sum(_height(sheets, x, words, TEXT_PT, style) for words, style in told)
    _room_for(sheets, height + 1.6 * TEXT_PT * LEADING)
    y = sheets.get_y() + 4
    name = f"{move.name} ({sheets.words['catalogue']}: {move.also})" if move.also else move.name
    blank = sheets.words["called_here"]
    half = MARGIN + sheets.inner_width * 0.58
    sheets.fitted(MARGIN, y, half - MARGIN - GAP, name, TEXT_PT + 1, "B")
    sheets.fitted(half, y, 66, blank, TEXT_PT - 2)
    sheets.set_line_width(0.5)
    start = half + sheets.width_of(blank, TEXT_PT - 2) + 4
    sheets.line(start, y + TEXT_PT + 1, MARGIN + sheets.inner_width, y + TEXT_PT + 1)
    sheets.set_y(y + (TEXT_PT + 1) * LEADING)
    for words, style in told:
        _words(sheets, x, words, TEXT_PT, style)


def _heading(sheets: Sheets, words: str, size: float = HEADING_PT, after: float = 50.0) -> None:
    """Write a heading that some height after it [pt] stays with."""
    _room_for(sheets, 2.5 * size + after)
    if sheets.get_y() > MARGIN:
        sheets.set_y(sheets.get_y() + size * 0.6)
    _words(sheets, MARGIN, words, size, "B")


def _fact(sheets: Sheets, name: str, text: str) -> None:
    x = MARGIN + FACT_WIDTH
    _room_for(sheets, _height(sheets, x, text, TEXT_PT, ""))
    sheets.fitted(MARGIN, sheets.get_y(), FACT_WIDTH - 6, name, TEXT_PT, "B")
    _words(sheets, x, text, TEXT_PT)


def _blank(sheets: Sheets, name: str) -> None:
    """Write a question and a line to write on."""
    _room_for(sheets, TEXT_PT * 3.4)
    _words(sheets, MARGIN, name, TEXT_PT, "B")
    line_y = sheets.get_y() + TEXT_PT * 1.5
    sheets.set_line_width(0.6)
    sheets.line(MARGIN, line_y, MARGIN + sheets.inner_width, line_y)
    sheets.set_y(line_y + 4)


def _room_for(sheets: Sheets, height: float) -> None:
    """Turn the page where a height [pt] would run into its foot."""
    if sheets.get_y() + height > sheets.h - MARGIN - FOOT_HEIGHT:
        sheets.add_page()
        sheets.set_y(MARGIN)


def _words(sheets: Sheets, x: float, words: str, size: float, style: str = "") -> None:
    """Write text from x to the right margin, in as many lines as it takes."""
    if not words:
        return
    sheets.set_font("text", style, size)
    sheets.set_stretching(100)
    sheets.set_x(x)
    width = MARGIN + sheets.inner_width - x
    sheets.multi_cell(width, size * LEADING, words, align="L", new_x="LMARGIN", new_y="NEXT")


def _height(sheets: Sheets, x: float, words: str, size: float, style: str) -> float:
    """Return the height that ``_words`` would take [pt]."""
    if not words:
        return 0.0
    sheets.set_font("text", style, size)
    width = MARGIN + sheets.inner_width - x
    height = sheets.multi_cell(width, size * LEADING, words, dry_run=True, output="HEIGHT")
    assert isinstance(height, float)
    return height
