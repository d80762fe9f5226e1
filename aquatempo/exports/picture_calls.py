"""The calls of a row of a track picture: each begins below its beat, none lies on another."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from aquatempo.exports import svg
from aquatempo.records.cues import Cue, CueKind
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["ROOM", "calls_below", "fitting_words"]

ROOM = 0.62  # width of a letter over its size, more than any of our texts needs on average
BOLD_ROOM = 0.76  # the same for bold letters
LINE = 1.25  # height of a lane over the size of its letters
TICK = 4.0  # from the mark at the beat to the words


def fitting_words(text: str, room: float, size: float) -> list[str]:
    """Return a text in rows of a width [px], parted between words; none where a word is wider.

    size: of the letters [px].

    room: [px].

    >>> fitting_words("a slow rocking horse", 100.0, 15.0), fitting_words("horse", 20.0, 15.0)
    (['a slow', 'rocking', 'horse'], [])
    """
    most = int(room / (size * ROOM))
    rows: list[str] = []
    for word in text.split():
        if len(word) > most:
            return []
        if rows and len(rows[-1]) + 1 + len(word) <= most:
            rows[-1] += f" {word}"
        else:
            rows.append(word)
    return rows


def calls_below(
    cues: Sequence[Cue], x: Callable[[float], float], top: float, right: float, size: float
) -> tuple[list[str], float]:
    """Return the calls of a row and the height that they take [px].

    cues: in order of time; x: place of a time [s]; top: upper edge; right: end of the row, which
    no word leaves; size: of letters [px]. A call takes the first lane that is free at its beat.
    """
    free: list[float] = []  # where the last text of each lane ends
    parts: list[str] = []
    for number, cue in enumerate(cues):
        words = _words(cues, number)
        if not words:
            continue
        named = cue.kind is CueKind.NAME
        width = len(words) * size * (BOLD_ROOM if named else ROOM) + TICK
        beat = x(cue.time_s)
        beside = beat + width <= right  # otherwise the words go left of the mark
        left = beat if beside else max(0.0, beat - width)
        lane = next((lane for lane, end in enumerate(free) if end <= left), len(free))
        free[lane : lane + 1] = [left + width]
        y = top + (lane + 1) * size * LINE
        parts.append(svg.line(beat, y - size * 0.9, beat, y + 3, class_="line", stroke_width=1.6))
        place, anchor = (beat + TICK, "start") if beside else (beat - TICK, "end")
        weight = "bold" if named else "normal"
        parts.append(
            svg.text(place, y, words, size, font_weight=weight, text_anchor=anchor, class_="ink")
        )
    return parts, len(free) * size * LINE + 4.0


def _words(cues: Sequence[Cue], number: int) -> str:
    cue = cues[number]
    if cue.kind is CueKind.COUNT_ONE:
        return ""
    if cue.kind is not CueKind.COUNTDOWN:
        return cue.words or f"[{cue.sign}]" if cue.sign or cue.words else ""
    # A countdown as figures: two for its last call, one more for each before it.
    later = cues[number : number + COUNTS_PER_EIGHT]
    left = sum(one.kind is CueKind.COUNTDOWN and one.change == cue.change for one in later)
    return str(left + 1)
