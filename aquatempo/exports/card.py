"""The deck card: a PDF to lean against a bottle and read from two metres.

``card_layout`` decides what stands on which side and how large; this module draws it.
"""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.exports.card_layout import (
    CLOCK_GAP,
    LEFT_WIDTH,
    NOTE_PT,
    NOTE_ROW,
    CardRow,
    arrange,
    counts_pt,
    name_height,
)
from aquatempo.exports.deck_details import NEW_MARK, what_is_new
from aquatempo.exports.sheets import FOOT_HEIGHT, MARGIN, Sheets
from aquatempo.records.deck import DeckBook, DeckTrack
from aquatempo.records.rhythm import PhraseKind
from aquatempo.units import clock

__all__ = ["deck_card"]

TITLE_PT, TEMPO_PT = 22.0, 28.0
HEAD_HEIGHT = 54.0
STRIP_HEIGHT, STRIP_GAP = 24.0, 10.0
NEXT_HEIGHT = 28.0
BADGE = 20.0  # the black square behind a line's number


def deck_card(book: DeckBook, size: str = "a5", without_sound: bool = False) -> bytes:
    """Return the PDF of a card, a side or more for each track.

    size: a key of ``sheets.PAGE_SIZES_PT``. without_sound: the counts of each line are written
    out in place of its notes. book: lines of the class.
    """
    sheets = Sheets(book, size)
    top = MARGIN + HEAD_HEIGHT + STRIP_HEIGHT + STRIP_GAP
    room = sheets.h - top - NEXT_HEIGHT - FOOT_HEIGHT - MARGIN
    for number, track in enumerate(book.tracks, 1):
        move_pt, sides = arrange(sheets, track, room, without_sound)
        later = [_coming(sheets, track, side[0]) for side in sides[1:]]
        if number < len(book.tracks):
            later.append(f"{number + 1}  {book.tracks[number].title}")
        else:
            later.append(sheets.words["end"])
        for side, after in zip(sides, later, strict=True):
            sheets.add_page()
            _head(sheets, number, track)
            _strip(sheets, track, {row.number for row in side})
            y = top
            for row in side:
                _row(sheets, row, y, move_pt)
                y += row.height
            _next(sheets, after)
    return bytes(sheets.output())


def _coming(sheets: Sheets, track: DeckTrack, row: CardRow) -> str:
    """Return what the next side starts with: its move, and what is new where the move stays."""
    before = track.lines[row.number - 2]
    new = what_is_new(row.line, before, sheets.words)
    return " ".join((row.line.name, *(f"{NEW_MARK} {detail}" for detail in new)))


def _head(sheets: Sheets, number: int, track: DeckTrack) -> None:
    width = sheets.inner_width
    tempo = f"{track.tempo_bpm:.0f} bpm" if track.file_name else sheets.words["by_clock"]
    tempo_width = sheets.width_of(tempo, TEMPO_PT, "B")
    sheets.fitted(MARGIN + width - tempo_width, MARGIN - 3, tempo_width + 1, tempo, TEMPO_PT, "B")
    title = f"{number}  {track.title}"
    sheets.fitted(MARGIN, MARGIN, width - tempo_width - 10, title, TITLE_PT, "B")
    facts = [track.part, clock(track.duration_s)]
    if abs(track.speed - 1.0) > 0.0005:
        facts.append(sheets.words["played"].format(change=f"{track.speed - 1.0:+.1%}"))
    sheets.fitted(MARGIN, MARGIN + 27, width, " · ".join(fact for fact in facts if fact), NOTE_PT)


def _row(sheets: Sheets, row: CardRow, y: float, move_pt: float) -> None:
    x, width = MARGIN + LEFT_WIDTH, sheets.inner_width - LEFT_WIDTH
    sheets.set_line_width(0.6)
    sheets.line(MARGIN, y, MARGIN + sheets.inner_width, y)
    counts = counts_pt(move_pt)
    rise = (move_pt - counts) * 0.8  # numbers and names stand on one line
    sheets.fitted(MARGIN, y + 2 + rise, LEFT_WIDTH - 8, f"{row.line.counts}", counts, "B")
    name_y = y + 2 + (move_pt - row.name_pt) * 0.8
    sheets.fitted(x, name_y, width, row.name, row.name_pt, "B")
    below = y + name_height(move_pt)
    sheets.rect(MARGIN, below, BADGE, BADGE, style="F")
    sheets.set_text_color(255)
    sheets.centred(MARGIN + 1, below + 1, BADGE - 2, f"{row.number}", NOTE_PT - 3, "B")
    sheets.set_text_color(0)
    clock_x = MARGIN + BADGE + CLOCK_GAP
    time_width = LEFT_WIDTH - BADGE - CLOCK_GAP - 6
    sheets.fitted(clock_x, below, time_width, clock(row.line.clock_s), NOTE_PT)
    for number, note in enumerate(row.notes):
        sheets.fitted(x, below + number * NOTE_ROW, width, note, NOTE_PT)


def _next(sheets: Sheets, after: str) -> None:
    y = sheets.h - MARGIN - FOOT_HEIGHT - NEXT_HEIGHT
    sheets.rect(MARGIN, y, sheets.inner_width, NEXT_HEIGHT - 2, style="F")
    sheets.set_text_color(255)
    words = f"{sheets.words['next']}: {after}"
    sheets.fitted(MARGIN + 6, y + 2, sheets.inner_width - 12, words, NOTE_PT, "B")
    sheets.set_text_color(0)


def _strip(sheets: Sheets, track: DeckTrack, here: set[int]) -> None:
    """Draw the song to scale: a box a line with its number, filled where it is on this side.

    Bridges and breaks are hatched; a tick below marks where each phrase starts.
    """
    if not track.strip:
        return
    first = track.strip[0].start_beat
    total = track.strip[-1].start_beat + track.strip[-1].counts - first
    scale = sheets.inner_width / max(total, 1)
    top, height = MARGIN + HEAD_HEIGHT, STRIP_HEIGHT

    def x(beat: int) -> float:
        return MARGIN + (min(max(beat - first, 0), total)) * scale

    sheets.set_line_width(1.0)
    sheets.rect(MARGIN, top, sheets.inner_width, height, style="D")
    for number, line in enumerate(track.lines, 1):
        left, width = x(line.beat), x(line.beat + line.counts) - x(line.beat)
        filled = number in here
        if line.kind is not PhraseKind.PHRASE:
            sheets.hatched(left, top, width, height, 2.6 if filled else 6.0)
        else:
            sheets.set_fill_color(0 if filled else 255)
            sheets.rect(left, top, width, height, style="DF")
            sheets.set_fill_color(0)
            if width > 11:
                sheets.set_text_color(255 if filled else 0)
                sheets.centred(left, top + height / 2 - 7.5, width, f"{number}", 14, "B")
                sheets.set_text_color(0)
    _ticks(sheets, [x(phrase.start_beat) for phrase in track.strip], top, height)


def _ticks(sheets: Sheets, starts: Sequence[float], top: float, height: float) -> None:
    sheets.set_line_width(1.6)
    for start in starts:
        sheets.line(start, top + height, start, top + height + 5)
