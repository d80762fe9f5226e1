"""What stands around the sets on a side of a card: head, strip, what is next, foot."""

from __future__ import annotations

from collections.abc import Sequence, Set

from aquatempo.exports.card_items import CardBox, CardSide, Rule, Text
from aquatempo.exports.deck_details import length_told
from aquatempo.exports.lettering import Lettering, fit
from aquatempo.exports.sheets import MARGIN, Sheets
from aquatempo.records.cues import CuePhrase
from aquatempo.records.deck import DeckBook, DeckTrack
from aquatempo.records.rhythm import EnergyLevel, PhraseKind
from aquatempo.units import COUNTS_PER_PHRASE

__all__ = ["foot", "frame", "head_height", "next_height", "strip_height"]

TITLE_PT, LEAST_TITLE_PT, TEMPO_PT, FACTS_PT, NEXT_PT = 22.0, 14.0, 28.0, 17.0, 20.0
STRIP_ROW, STRIP_GAP = 22.0, 4.0
STRIP_PHRASES = 16  # a row: a box is still wide enough for its number
HEIGHTS = {EnergyLevel.LOW: 13.0, EnergyLevel.MEDIUM: 17.5, EnergyLevel.HIGH: STRIP_ROW}
ENDING_PT = 20.0


def frame(
    sheets: Sheets,
    side: CardSide,
    book: DeckBook,
    number: int,
    here: Set[int],
    after: str,
    page: tuple[int, int],
) -> None:
    """Put everything but the sets on a side. here: sets on it, where a song takes several.

    sheets: the document that measures texts; book: the class; number: of the track, 0 the
    first; after: what comes after the song, in words; page: (number, of so many).
    """
    track = book.tracks[number]
    _head(sheets, side, number, track)
    _strip(sheets, side, track, here, MARGIN + head_height(sheets, number, track))
    top = sheets.paper.height - MARGIN - 24.0 - next_height(sheets, after)
    if track.ending and _is_last(track, here):
        _ending(sheets, side, track.ending, top)
    _next(sheets, side, after, top)
    foot(sheets, side, book.title, page)


def head_height(sheets: Sheets, number: int, track: DeckTrack) -> float:
    """Return the height of title, tempo and facts [pt].

    sheets: the document that measures texts; number: of the track, 0 the first; track: the
    song.
    """
    title, _ = _title(sheets, number, track)
    return max(title.height, TEMPO_PT) + _facts(sheets, track).height + 3


def strip_height(sheets: Sheets, track: DeckTrack) -> float:
    """Return the height of the strip and the gap below it [pt].

    sheets: the document that measures texts; track: the song.
    """
    rows = len(_strip_rows(track.strip))
    return rows * (STRIP_ROW + STRIP_GAP) + 2 if rows else 0.0


def next_height(sheets: Sheets, after: str) -> float:
    """Return the height of the bar that says what is next [pt].

    sheets: the document that measures texts; after: what comes after the song, in words.
    """
    return _after(sheets, after).height + 6


def _title(sheets: Sheets, number: int, track: DeckTrack) -> tuple[Lettering, float]:
    """Return the title laid out and the width of the tempo beside it [pt]."""
    tempo = sheets.width_of(_tempo(sheets, track), TEMPO_PT, "B")
    room = sheets.inner_width - tempo - 10
    words = f"{number + 1}  {track.title}"
    return fit(sheets, words, room, TITLE_PT, least=LEAST_TITLE_PT, style="B"), tempo


def _tempo(sheets: Sheets, track: DeckTrack) -> str:
    return f"{track.tempo_bpm:.0f} bpm" if track.file_name else sheets.words["by_clock"]


def _facts(sheets: Sheets, track: DeckTrack) -> Lettering:
    facts = [track.part, length_told(track, sheets.words)]
    if abs(track.speed - 1.0) > 0.0005:
        change = f"{100 * (track.speed - 1):+.1f} %".replace(".", sheets.words["decimal"])
        facts.append(sheets.words["played"].format(change=change))
    facts.append(track.start)
    words = " · ".join(fact for fact in facts if fact)
    return fit(sheets, words, sheets.inner_width, FACTS_PT, least=14)


def _head(sheets: Sheets, side: CardSide, number: int, track: DeckTrack) -> None:
    title, tempo_width = _title(sheets, number, track)
    right = MARGIN + sheets.inner_width
    side.items.append(Text(MARGIN, MARGIN, sheets.inner_width - tempo_width - 10, title))
    side.write(
        sheets, right - tempo_width, MARGIN - 3, tempo_width + 1, _tempo(sheets, track), TEMPO_PT,
        style="B",
    )  # fmt: skip
    y = MARGIN + max(title.height, TEMPO_PT)
    side.items.append(Text(MARGIN, y, sheets.inner_width, _facts(sheets, track)))


def _strip_rows(strip: Sequence[CuePhrase]) -> list[list[CuePhrase]]:
    """Return the phrases of a song in rows of about as many counts each."""
    total = sum(phrase.counts for phrase in strip)
    wanted = max(1, -(-total // ((STRIP_PHRASES + 1) * COUNTS_PER_PHRASE)))
    rows: list[list[CuePhrase]] = []
    counts = 0
    for phrase in strip:
        if not rows or (counts + phrase.counts / 2 > total / wanted and len(rows) < wanted):
            rows.append([])
            counts = 0
        rows[-1].append(phrase)
        counts += phrase.counts
    return rows


def _strip(sheets: Sheets, side: CardSide, track: DeckTrack, here: Set[int], top: float) -> None:
    """Draw the song to scale: a box a phrase, as high as its energy, with its set's number.

    Bridges and breaks are hatched; the phrases of this side are black where a song takes several.
    """
    rows = _strip_rows(track.strip)
    widest = max((sum(phrase.counts for phrase in row) for row in rows), default=1)
    scale = sheets.inner_width / widest
    numbers = iter(track.strip_sets or [_set_of(track, phrase) for phrase in track.strip])
    for row in rows:
        x = MARGIN
        for phrase in row:
            width, height = phrase.counts * scale, HEIGHTS[phrase.energy_level]
            number = next(numbers, 0)
            y, filled = top + STRIP_ROW - height, _set_of(track, phrase) in here
            odd = phrase.kind in (PhraseKind.BRIDGE, PhraseKind.BREAK)
            side.items.append(CardBox(x, y, width, height, filled=filled, step=4.0 if odd else 0.0))
            if number and not odd and width > 12:
                side.write(
                    sheets, x, top + STRIP_ROW - 13, width, f"{number}", 11, style="B",
                    centred=True, light=filled,
                )  # fmt: skip
            x += width
        side.items.append(Rule(MARGIN, top + STRIP_ROW, x, top + STRIP_ROW, 1.6))
        top += STRIP_ROW + STRIP_GAP


def _set_of(track: DeckTrack, phrase: CuePhrase) -> int:
    """Return the number of the set that tells a phrase, 0 for none."""
    for one in track.sets:
        if one.beat <= phrase.start_beat < one.beat + one.counts:
            return one.number
    return 0


def _is_last(track: DeckTrack, here: Set[int]) -> bool:
    return not here or not track.sets or track.sets[-1].number in here


def _ending(sheets: Sheets, side: CardSide, words: str, bottom: float) -> None:
    """Draw a final bar line, two strokes as in written music, and on which count the song ends."""
    right, height = MARGIN + sheets.inner_width, ENDING_PT * 1.13
    top = bottom - height - 2
    width = sheets.width_of(words, ENDING_PT)
    side.write(sheets, right - width - 18, top, width + 1, words, ENDING_PT)
    side.items.append(Rule(right - 9, top + 2, right - 9, top + height - 2, 1.2))
    side.items.append(Rule(right - 3, top + 2, right - 3, top + height - 2, 4.0))


def _after(sheets: Sheets, after: str) -> Lettering:
    words = f"{sheets.words['next']}: {after}"
    return fit(sheets, words, sheets.inner_width - 12, NEXT_PT, least=12, style="B")


def _next(sheets: Sheets, side: CardSide, after: str, y: float) -> None:
    height = next_height(sheets, after)
    side.items.append(CardBox(MARGIN, y, sheets.inner_width, height - 1, filled=True))
    side.items.append(
        Text(MARGIN + 6, y + 1, sheets.inner_width - 12, _after(sheets, after), light=True)
    )


def foot(sheets: Sheets, side: CardSide, title: str, page: tuple[int, int]) -> None:
    """Write the class, which side of how many this is, what signs mean, and the caution.

    sheets: the document that measures texts; title: of the class; page: (number, of so many).
    """
    y = sheets.paper.height - MARGIN - 20.0
    number = sheets.words["side"].format(page=page[0], pages=page[1])
    width = sheets.width_of(number, 9)
    room = sheets.inner_width - width - 12
    side.write(sheets, MARGIN, y, room, title, 9, least=5, style="B")
    side.write(sheets, MARGIN + sheets.inner_width - width, y, width + 1, number, 9)
    side.write(sheets, MARGIN, y + 11, sheets.inner_width, sheets.words["foot"], 8, least=6)
