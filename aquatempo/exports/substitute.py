"""The substitute's sheet: what a colleague needs who takes over the class today.

Everything on it is read, not glanced at, so it is set smaller than the card: 12 pt.
"""

from __future__ import annotations

from aquatempo.exports.card_sets import ARROW
from aquatempo.exports.deck_details import NEW_MARK, length_told
from aquatempo.exports.figure_picture import end_positions
from aquatempo.exports.lettering import fit
from aquatempo.exports.sheets import FOOT_HEIGHT, MARGIN, Sheets
from aquatempo.records.deck import DeckBook, DeckSet, DeckTrack, MoveNote
from aquatempo.units import clock

__all__ = ["substitute_sheet"]

TEXT_PT, HEADING_PT, TITLE_PT = 12.0, 16.0, 22.0
LEADING = 1.25
CLOCK_WIDTH, FACT_WIDTH, GAP = 36.0, 84.0, 10.0
FIGURE_HEIGHT = 74.0


def substitute_sheet(book: DeckBook, size: str = "a5") -> bytes:
    """Return the PDF: the class, the site's blanks, the moves, and the counts without sound.

    book: the class; size: of the paper.
    """
    sheets = Sheets(book, size, running=True)
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
    facts = [track.part, tempo, length_told(track, sheets.words), track.start, track.rights]
    first = _set_height(sheets, track.sets[0]) if track.sets else 0.0
    _room_for(sheets, 2.6 * HEADING_PT + first)
    sheets.set_y(sheets.get_y() + 5)
    _words(sheets, MARGIN, f"{number}  {track.title}", 14, "B")
    _words(sheets, MARGIN, " · ".join(fact for fact in facts if fact), TEXT_PT)
    for one in track.sets:
        _set(sheets, one)
    if track.ending:
        _words(sheets, MARGIN + CLOCK_WIDTH, f"‖ {track.ending}", TEXT_PT)


def _set(sheets: Sheets, one: DeckSet) -> None:
    """Write a move with its clock, what is done with it, and its counts written out."""
    _room_for(sheets, _set_height(sheets, one))
    y = sheets.get_y() + 3
    sheets.rule(MARGIN, y - 1, MARGIN + sheets.inner_width, y - 1, 0.5)
    sheets.write_line(MARGIN, y + 1, clock(one.clock_s), TEXT_PT)
    sheets.set_y(y)
    for words, style in _told(one):
        _words(sheets, MARGIN + CLOCK_WIDTH, words, TEXT_PT, style)


def _told(one: DeckSet) -> list[tuple[str, str]]:
    """Return what stands of a set, a text and its style each."""
    rows = [f"[{row.text}]" if row.joint else row.text for row in one.rows if row.text]
    told = [(f"{one.name}  {one.total}", "B")]
    told += [(ARROW.join(rows).replace(f"{ARROW}{NEW_MARK} ", ARROW), "")] if rows else []
    return told + [(row.spelled, "") for row in one.rows if row.spelled]


def _set_height(sheets: Sheets, one: DeckSet) -> float:
    x = MARGIN + CLOCK_WIDTH
    return 4 + sum(_height(sheets, x, words, TEXT_PT, style) for words, style in _told(one))


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
    figure = sheets.figures.get(move.figure)
    height += FIGURE_HEIGHT if figure else 0.0
    _room_for(sheets, height + 1.6 * TEXT_PT * LEADING)
    y = sheets.get_y() + 4
    name = f"{move.name} ({sheets.words['catalogue']}: {move.also})" if move.also else move.name
    blank = sheets.words["called_here"]
    half = MARGIN + sheets.inner_width * 0.58
    laid = fit(sheets, name, half - MARGIN - GAP, TEXT_PT + 1, style="B", most_rows=9)
    for row, percent in laid.rows:
        sheets.write_line(MARGIN, y, row, laid.size, style="B", percent=percent)
        y += laid.row_height
    line_y = y - laid.row_height
    sheets.write_line(half, line_y, blank, TEXT_PT - 2)
    start = half + sheets.width_of(blank, TEXT_PT - 2) + 4
    end = MARGIN + sheets.inner_width
    sheets.rule(start, line_y + TEXT_PT + 1, end, line_y + TEXT_PT + 1, 0.5)
    sheets.set_y(y + 2)
    if figure is not None:
        picture = end_positions(figure, move.name)
        sheets.picture(x, y + 4, sheets.inner_width - GAP, FIGURE_HEIGHT - 6, picture, left=True)
        sheets.set_y(y + FIGURE_HEIGHT)
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
    laid = fit(sheets, name, FACT_WIDTH - 6, TEXT_PT, least=6, style="B", most_rows=1)
    row, percent = laid.rows[0]
    sheets.write_line(MARGIN, sheets.get_y(), row, laid.size, style="B", percent=percent)
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
