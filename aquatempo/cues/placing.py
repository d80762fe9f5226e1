"""Where the calls of one change go: the richest form that the counts before it allow.

The counts of each form are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from aquatempo.cues.count_grid import Grid
from aquatempo.cues.language import LanguagePack
from aquatempo.cues.wording import CallText
from aquatempo.records.cues import CueKind, CueOptions

__all__ = ["PlacedCalls", "Slot", "place"]


@dataclass(frozen=True)
class _Form:
    """notice: counts before the change at which the warn starts; step: counts a word."""

    notice: int
    step: int


_SHORT = _Form(notice=8, step=1)
_STRETCHED = _Form(notice=16, step=2)
_PREVIEW_COUNTS = (4, 2)


@dataclass(frozen=True)
class Slot:
    """One call on whole beats [start, end); spoken_s is 0 where only a sign is given."""

    kind: CueKind
    start: int
    end: int
    words: str
    sign: str
    spoken_s: float


@dataclass(frozen=True)
class PlacedCalls:
    """The calls of one change. named: the name is called; complete: nothing was left out."""

    slots: tuple[Slot, ...]
    stretched: bool
    named: bool
    complete: bool
    warn: str = ""


@dataclass(frozen=True)
class _Tail:
    form: _Form
    start: int
    slots: tuple[Slot, ...]


class _Placer:
    def __init__(
        self, grid: Grid, pack: LanguagePack, options: CueOptions, room: int, beat: int
    ) -> None:
        self.grid, self.pack, self.options = grid, pack, options
        self.room, self.beat = room, beat

    def spoken_s(self, words: str) -> float:
        if self.options.silent:
            return 0.0
        return self.pack.syllables.speaking_s(words, self.options.syllables_per_second)

    def fits(self, words: str, start: int, end: int) -> bool:
        # Added up as the end of a call is, so that rounding makes no call end with its change.
        ends_s = self.grid.time_s(start) + self.spoken_s(words)
        return end > start and ends_s < self.grid.time_s(end)

    def slot(self, kind: CueKind, start: int, end: int, words: str, sign: str) -> Slot:
        """Make a slot; words that do not fit, or a silent version, leave the sign alone."""
        if self.options.silent or not self.fits(words, start, end):
            words = ""
        return Slot(kind, start, end, words, sign, self.spoken_s(words))

    def tail(self, form: _Form, name: str, sign: str, numbers: int) -> _Tail | None:
        """Return the last ``numbers`` of the countdown and the name, or None without room."""
        width = form.step
        while not self.fits(name, self.beat - width, self.beat):
            width += form.step
            if self.beat - width < self.room:
                return None
        start = self.beat - width - numbers * form.step
        if start < self.room:
            return None
        words = self.pack.countdown[len(self.pack.countdown) - numbers :]
        signs = self.pack.countdown_signs[len(self.pack.countdown_signs) - numbers :]
        slots = [
            self.slot(CueKind.COUNTDOWN, at, at + form.step, word, hand)
            for at, word, hand in zip(
                range(start, self.beat - width, form.step), words, signs, strict=True
            )
        ]
        slots.append(self.slot(CueKind.NAME, self.beat - width, self.beat, name, sign))
        return _Tail(form, start, tuple(slots))

    def head(
        self, tail: _Tail, text: CallText, warns: Sequence[str], preview: bool
    ) -> tuple[Slot, ...]:
        """Return the warn, and the preview of a new move, that fit before a tail."""
        usual = 4 * tail.form.step  # counts of the last four words where the name is short
        shift = max(0, self.beat - tail.start - usual)
        start = max(self.room, self.beat - tail.form.notice - shift)
        # A bridge or breakdown takes more words to announce: those may start earlier.
        first = (
            max(self.room, self.beat - _STRETCHED.notice - shift) if text.announcement else start
        )
        sign = text.warn_sign or self.pack.signs["warn"]
        previews = [n for n in _PREVIEW_COUNTS if preview and tail.start - start >= 2 * n]
        for counts in (*previews, 0):
            end = tail.start - counts
            for words in warns:
                begin = next(
                    (b for b in range(start, first - 1, -1) if self.fits(words, b, end)), -1
                )
                if begin < 0:
                    continue
                warn = self.slot(CueKind.WARN, begin, end, words, f"{sign}; {text.sign}")
                if not counts:
                    return (warn,)
                look = self.pack.words["preview"]
                return (warn, self.slot(CueKind.PREVIEW, end, tail.start, look, text.sign))
        return ()

    def tails(self, text: CallText, stretched: bool) -> Iterator[tuple[_Tail, bool]]:
        """Yield tails from the richest to the barest, and whether a warn must go before."""
        full = len(self.pack.countdown)
        forms = (_STRETCHED, _SHORT) if stretched else (_SHORT,)
        ladder = [
            *((form, full, True) for form in forms),
            *((form, full, False) for form in forms),
            *((_SHORT, numbers, False) for numbers in range(full - 1, -1, -1)),
        ]
        for form, numbers, needs_warn in ladder:
            for name in self.names(form, text):
                tail = self.tail(form, name, text.sign, numbers)
                if tail is not None:
                    yield tail, needs_warn

    def names(self, form: _Form, text: CallText) -> list[str]:
        """Return the names in order: the first that needs no more counts than a word, then all."""
        usual = [n for n in text.names if self.fits(n, self.beat - form.step, self.beat)]
        return [*usual[:1], *text.names]


def place(
    grid: Grid,
    pack: LanguagePack,
    options: CueOptions,
    *,
    room: int,
    beat: int,
    text: CallText,
    warns: Sequence[str],
    stretched: bool,
    preview: bool,
) -> PlacedCalls:
    """Place the calls of a change on ``beat`` into the beats from ``room`` up to it.

    grid: beats of the track; pack: words of the language; options: how calls are made; text:
    what is said; warns: wordings of the warn, fullest first; stretched: whether the change asks
    for a longer notice; preview: whether a new move is shown ahead.
    """
    placer = _Placer(grid, pack, options, room, beat)
    for tail, needs_warn in placer.tails(text, stretched):
        head = placer.head(tail, text, warns, preview)
        if head or not needs_warn:
            return PlacedCalls(
                slots=(*head, *tail.slots),
                stretched=tail.form is _STRETCHED,
                named=True,
                complete=bool(head) and (tail.form is _STRETCHED) >= stretched,
                warn=head[0].words if head else "",
            )
    return PlacedCalls(slots=(), stretched=False, named=False, complete=False)
