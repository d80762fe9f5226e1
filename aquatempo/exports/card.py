"""The deck card: a PDF to lean against a bottle and read from two metres.

Sizes follow common practice: moves 36 pt, counts 30 pt, notes 20 pt, at most eight
lines a side, black on white.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from aquatempo.exports.sheets import FOOT_HEIGHT, MARGIN, NARROWEST_PERCENT, Sheets, clock
from aquatempo.records.deck import DeckBook, DeckLine, DeckTrack
from aquatempo.records.rhythm import PhraseKind

__all__ = ["deck_card"]

MOVE_PT, COUNTS_PT, NOTE_PT = 36.0, 30.0, 20.0
MOST_LINES = 8
LEFT_WIDTH = 62.0  # counts above the clock
HEAD_HEIGHT = 62.0
STRIP_HEIGHT = 34.0
NEXT_HEIGHT = 26.0


def deck_card(book: DeckBook, size: str = "a5", without_sound: bool = False) -> bytes:
    """Return the PDF of a card, a side or more for each track.

    size: a key of ``sheets.PAGE_SIZES_PT``. without_sound: the counts of each line are
    written out in place of its notes.
    """
    sheets = Sheets(book, size)
    notes = 2 if without_sound else 1
    for number, track in enumerate(book.tracks):
        sides = list(_sides(sheets, track, notes))
        following = book.tracks[number + 1] if number + 1 < len(book.tracks) else None
        for position, side in enumerate(sides):
            if position + 1 < len(sides):
                after = sides[position + 1][0].name
            elif following is not None:
                after = f"{number + 2}  {following.title}"
            else:
                after = sheets.words["end"]
            _side(sheets, number + 1, track, side, after, without_sound)
    return bytes(sheets.output())


def _line_height(notes: int) -> float:
    return MOVE_PT * 1.05 + notes * NOTE_PT * 1.1 + 5.0


def _sides(sheets: Sheets, track: DeckTrack, notes: int) -> Iterator[Sequence[DeckLine]]:
    """Yield the lines of each side, about as many on each."""
    room = sheets.h - 2 * MARGIN - HEAD_HEIGHT - STRIP_HEIGHT - NEXT_HEIGHT - FOOT_HEIGHT
    most = min(MOST_LINES, int(room / _line_height(notes)))
    sides = max(1, -(-len(track.lines) // most))
    each = -(-len(track.lines) // sides)
    for start in range(0, len(track.lines), each or 1):
        yield track.lines[start : start + each]


def _note(sheets: Sheets, details: Sequence[str], width: float) -> str:
    """Join as many details as fit, the most important first."""
    sheets.set_font("text", "", NOTE_PT)
    note = ""
    for detail in details:
        joined = f"{note} · {detail}" if note else detail
        if note and sheets.get_string_width(joined) * NARROWEST_PERCENT / 100 > width:
            break
        note = joined
    return note


def _side(
    sheets: Sheets,
    number: int,
    track: DeckTrack,
    lines: Sequence[DeckLine],
    after: str,
    without_sound: bool,
) -> None:
    sheets.add_page()
    width = sheets.inner_width
    sheets.fitted(MARGIN, MARGIN, width - 112, f"{number}  {track.title}", 22, "B")
    sheets.set_font("text", "B", 28)
    sheets.set_xy(MARGIN + width - 112, MARGIN - 3)
    sheets.cell(112, 30, f"{track.tempo_bpm:.0f} bpm", align="R")
    facts = [track.part, clock(track.duration_s)]
    if abs(track.speed - 1.0) > 0.0005:
        facts.append(sheets.words["played"].format(change=f"{track.speed - 1.0:+.1%}"))
    sheets.fitted(MARGIN, MARGIN + 31, width, " · ".join(fact for fact in facts if fact), NOTE_PT)
    _strip(sheets, track, {line.phrase for line in lines})
    y = MARGIN + HEAD_HEIGHT + STRIP_HEIGHT
    for line in lines:
        _line(sheets, line, y, without_sound)
        y += _line_height(2 if without_sound else 1)
    bottom = sheets.h - MARGIN - FOOT_HEIGHT - NEXT_HEIGHT
    sheets.set_line_width(1.5)
    sheets.line(MARGIN, bottom, MARGIN + width, bottom)
    sheets.fitted(MARGIN, bottom + 2, width, f"{sheets.words['next']}: {after}", NOTE_PT, "B")


def _line(sheets: Sheets, line: DeckLine, y: float, without_sound: bool) -> None:
    x, width = MARGIN + LEFT_WIDTH, sheets.inner_width - LEFT_WIDTH
    below = y + MOVE_PT * 1.05 + 2
    sheets.set_line_width(0.6)
    sheets.line(MARGIN, y, MARGIN + sheets.inner_width, y)
    sheets.fitted(MARGIN, y + 3, LEFT_WIDTH - 8, f"{line.counts}", COUNTS_PT, "B")
    sheets.fitted(MARGIN, below, LEFT_WIDTH - 8, clock(line.clock_s), NOTE_PT)
    sheets.set_font("text", "B", MOVE_PT)
    names = [name for name in (line.name, line.short_name) if name]
    if line.kind is not PhraseKind.PHRASE:
        names = [f"{sheets.words[line.kind]}: {name}" for name in names]
    narrowest = NARROWEST_PERCENT / 100
    fitting = [name for name in names if sheets.get_string_width(name) * narrowest <= width]
    sheets.fitted(x, y + 1, width, (fitting or names)[0], MOVE_PT, "B")
    if not without_sound:
        sheets.fitted(x, below, width, _note(sheets, line.details, width), NOTE_PT)
        return
    for row, words in enumerate(_halves(sheets, line.spelled, width)):
        sheets.fitted(x, below + row * NOTE_PT * 1.1, width, words, NOTE_PT)


def _halves(sheets: Sheets, words: str, width: float) -> list[str]:
    """Break words after a comma where they would fill more than one line."""
    sheets.set_font("text", "", NOTE_PT)
    if sheets.get_string_width(words) <= width or ", " not in words:
        return [words]
    parts = words.split(", ")
    middle = min(
        range(1, len(parts)),
        key=lambda cut: abs(len(", ".join(parts[:cut])) - len(words) / 2),
    )
    return [", ".join(parts[:middle]) + ",", ", ".join(parts[middle:])]


def _strip(sheets: Sheets, track: DeckTrack, shown: set[int]) -> None:
    """Draw the phrases of the track to scale; those on this side are filled, bridges hatched."""
    total = sum(phrase.counts for phrase in track.strip)
    if not total:
        return
    x, y, height = MARGIN, MARGIN + HEAD_HEIGHT, STRIP_HEIGHT - 10
    number = 0
    sheets.set_line_width(1.0)
    for index, phrase in enumerate(track.strip):
        width = phrase.counts / total * sheets.inner_width
        whole = phrase.kind is PhraseKind.PHRASE
        number += whole
        here = index in shown
        sheets.set_fill_color(0 if here and whole else 255)
        sheets.rect(x, y, width, height, style="DF")
        if not whole:
            _hatch(sheets, x, y, width, height, 3.0 if here else 6.0)
        elif width > 12:
            sheets.set_text_color(255 if here else 0)
            sheets.set_font("text", "B", 12)
            sheets.set_xy(x, y + height / 2 - 7)
            sheets.cell(width, 14, f"{number}", align="C")
            sheets.set_text_color(0)
        x += width


def _hatch(sheets: Sheets, x: float, y: float, width: float, height: float, step: float) -> None:
    with sheets.rect_clip(x, y, width, height):
        offset = -height
        while offset < width:
            sheets.line(x + offset, y + height, x + offset + height, y)
            offset += step
