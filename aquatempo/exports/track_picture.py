"""A picture of one track: energy, beats, eights, phrases, bridges, moves and calls.

Read like a page: rows of about two phrases, the same time scale in each. A phrase is a plain
box, a bridge a hatched one; beats that were not played but inferred are open circles. Colour
says energy and change a second time: nothing depends on it. By day black on white, where the
viewer prefers dark the other way round. Legible at half its size.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import ceil

from aquatempo.exports import svg
from aquatempo.exports.labels import labels
from aquatempo.exports.picture_calls import ROOM, calls_below, fitting_words
from aquatempo.exports.stints import stint_told
from aquatempo.records.cues import Change, CueTimeline
from aquatempo.records.rhythm import Phrase, PhraseKind, RhythmAnalysis
from aquatempo.units import COUNTS_PER_EIGHT, clock

__all__ = ["track_picture"]

WIDTH = 1400.0
MARGIN = 24.0
HEAD = 92.0
COUNTS_A_ROW = 64
SPARE_COUNTS = 16  # more in a row than start a new one for a scrap
ENERGY_HEIGHT = 70.0
BEATS_HEIGHT = 24.0
BOX_HEIGHT = 34.0
MOVE_HEIGHT = 60.0  # two rows of text
GAP = 26.0  # between rows
SIZE = 19.0  # of all that has to be read at half size [px]
SMALL = 15.0
STYLE = """
.ground{fill:#fff}.ink{fill:#000}.line{stroke:#000}.curve{fill:#b8c0c8}.box{stroke:#000;stroke-width:1.4}
.low{fill:#dbeaf7}.medium{fill:#f6efcf}.high{fill:#f8cfb0}.move{fill:#fff}.new{fill:#0b5a2a}
.varied{fill:#1d4f91}.light{fill:#fff}.hatch-line{stroke:#555}
@media (prefers-color-scheme: dark){
.ground{fill:#111}.ink{fill:#fff}.line{stroke:#fff}.curve{fill:#5a6570}.box{stroke:#fff}
.low{fill:#1c3a56}.medium{fill:#4f4618}.high{fill:#7a3510}.move{fill:#111}.new{fill:#7fd6a0}
.varied{fill:#9cc4f5}.light{fill:#111}.hatch-line{stroke:#aaa}}
"""


def track_picture(
    title: str,
    analysis: RhythmAnalysis,
    envelope: Sequence[float],
    timeline: CueTimeline | None = None,
    language: str = "en",
) -> str:
    """Return SVG text.

    envelope: loudness 0 to 1 at equal steps over the whole track; may be empty. title: of the
    track; analysis: what was heard in the track; timeline: calls to draw, or None. language:
    of the labels where there is no timeline, which has its own.
    """
    words = labels(timeline.language if timeline is not None else language)
    rows = _rows(analysis)
    scale = (WIDTH - 2 * MARGIN) / max((end - start for start, end in rows), default=1.0)
    parts = _head(title, analysis, words)
    top = HEAD
    for start_s, end_s in rows:
        row = _Row(start_s, end_s, top, scale)
        parts += _energy(row, envelope, analysis.duration_s)
        parts += _beats(row, analysis)
        parts += _phrases(row, analysis.phrases, words)
        top = row.moves
        if timeline is not None:
            parts += _moves(row, timeline, words)
            held = [cue for cue in timeline.cues if row.holds(cue.time_s)]
            below, height = calls_below(held, row.x, row.calls, WIDTH - MARGIN, SIZE)
            parts += below
            top = row.calls + height
        top += GAP
    legend = words["picture_legend"]
    if timeline is not None:
        legend = f"{legend} · {words['picture_calls']}"
    for line in fitting_words(legend, WIDTH - 2 * MARGIN, SMALL):
        parts.append(svg.text(MARGIN, top, line, SMALL, class_="ink"))
        top += SMALL * 1.4
    return svg.document(WIDTH, top + 6, title, parts, STYLE)


class _Row:
    """A row: the stretch of time that it shows and where its bands lie."""

    def __init__(self, start_s: float, end_s: float, top: float, scale: float) -> None:
        self.start_s, self.end_s, self.scale = start_s, end_s, scale
        self.energy = top
        self.beats = top + ENERGY_HEIGHT
        self.boxes = self.beats + BEATS_HEIGHT
        self.moves = self.boxes + BOX_HEIGHT + 2
        self.calls = self.moves + MOVE_HEIGHT + 2

    def x(self, time_s: float) -> float:
        return MARGIN + (min(max(time_s, self.start_s), self.end_s) - self.start_s) * self.scale

    def shows(self, start_s: float, end_s: float) -> bool:
        return end_s > self.start_s + 1e-6 and start_s < self.end_s - 1e-6

    def holds(self, time_s: float) -> bool:
        return self.start_s - 1e-6 <= time_s < self.end_s - 1e-6


def _rows(analysis: RhythmAnalysis) -> list[tuple[float, float]]:
    """Split the track where phrases start, in rows of about as many counts each."""
    total = sum(phrase.counts for phrase in analysis.phrases)
    wanted = max(1, ceil((total - SPARE_COUNTS) / COUNTS_A_ROW))
    most = total / wanted + SPARE_COUNTS
    cuts = [0.0]
    counts = 0
    for phrase in analysis.phrases:
        if counts and counts + phrase.counts > most:
            cuts.append(phrase.start_s)
            counts = 0
        counts += phrase.counts
    return [*pairwise([*cuts, max(analysis.duration_s, cuts[-1] + 1.0)])]


def _head(title: str, analysis: RhythmAnalysis, words: Mapping[str, str]) -> list[str]:
    facts = words["picture_no_beat"]
    if analysis.tempo_bpm is not None:
        steady = words["picture_steady"]
        if not analysis.steady:
            drift = f"{analysis.tempo_drift_percent:.1f}".replace(".", words["decimal"])
            steady = words["picture_drifts"].format(percent=drift)
        facts = words["picture_facts"].format(
            tempo=f"{analysis.tempo_bpm:.1f}".replace(".", words["decimal"]),
            steady=steady,
            phrases=sum(phrase.kind is PhraseKind.PHRASE for phrase in analysis.phrases),
            bridges=sum(phrase.kind is PhraseKind.BRIDGE for phrase in analysis.phrases),
            tempo_sure=f"{100 * analysis.tempo_confidence:.0f} %",
            sure=f"{100 * analysis.confidence:.0f} %",
        )
    told = fitting_words(title, WIDTH - 2 * MARGIN, 28.0)
    size = 28.0 if len(told) == 1 else 28.0 * (WIDTH - 2 * MARGIN) / (len(title) * 28.0 * ROOM)
    return [
        svg.text(MARGIN, 36, title, size, font_weight="bold", class_="ink"),
        svg.text(MARGIN, 66, facts, SIZE, class_="ink"),
    ]


def _energy(row: _Row, envelope: Sequence[float], duration_s: float) -> list[str]:
    base = row.beats
    parts = [svg.line(row.x(row.start_s), base, row.x(row.end_s), base, class_="line")]
    if envelope and duration_s > 0:
        step_s = duration_s / len(envelope)
        inside = [
            (row.x((index + 0.5) * step_s), base - (ENERGY_HEIGHT - 20) * level)
            for index, level in enumerate(envelope)
            if row.holds((index + 0.5) * step_s)
        ]
        if len(inside) > 1:
            closed = [(inside[0][0], base), *inside, (inside[-1][0], base)]
            parts.append(svg.polygon(closed, class_="curve"))
    for second in range(0, int(row.end_s) + 1, 5):
        if row.holds(second) and row.x(second) < WIDTH - MARGIN - 3 * SMALL:
            parts.append(
                svg.text(row.x(second), row.energy + 13, clock(second), SMALL, class_="ink")
            )
    return parts


def _beats(row: _Row, analysis: RhythmAnalysis) -> list[str]:
    firsts = {
        phrase.start_beat + offset
        for phrase in analysis.phrases
        for offset in range(0, phrase.counts, COUNTS_PER_EIGHT)
    }
    parts = []
    beats = zip(analysis.beats_s, analysis.beats_inferred, strict=True)
    for index, (time_s, inferred) in enumerate(beats):
        if not row.holds(time_s):
            continue
        x, length = row.x(time_s), 19.0 if index in firsts else 9.0
        if inferred:
            parts.append(svg.circle(x, row.beats + 6, 3.2, class_="move line"))
        else:
            width = 2.8 if index in firsts else 1.2
            parts.append(
                svg.line(x, row.beats, x, row.beats + length, class_="line", stroke_width=width)
            )
    return parts


def _phrases(row: _Row, phrases: Sequence[Phrase], words: Mapping[str, str]) -> list[str]:
    parts = []
    number = 0
    for phrase in phrases:
        number += phrase.kind is PhraseKind.PHRASE
        if not row.shows(phrase.start_s, phrase.end_s):
            continue
        whole = phrase.kind is PhraseKind.PHRASE
        name = f"{words['phrase']} {number}" if whole else words[phrase.kind]
        odd = phrase.kind in (PhraseKind.BRIDGE, PhraseKind.BREAK)
        level = words[f"energy_{phrase.energy_level}"]
        told = [f"{name} · {phrase.counts} · {level}", f"{name} · {phrase.counts}", name]
        told += [str(number) if whole else "", str(phrase.counts)]
        left, right = row.x(phrase.start_s), row.x(phrase.end_s)
        parts.append(
            svg.rectangle(
                left, row.boxes, right - left, BOX_HEIGHT - 4,
                class_=f"box {phrase.energy_level}",
            )
        )  # fmt: skip
        fits = [text for text in told if text and len(text) * SIZE * ROOM + 10 <= right - left]
        if odd:  # the words get a plain ground between the hatching
            used = len(fits[0]) * SIZE * ROOM + 12 if fits else 0.0
            parts.append(
                svg.rectangle(
                    left + used, row.boxes, right - left - used, BOX_HEIGHT - 4, fill="url(#hatch)"
                )
            )
        if fits:
            parts.append(svg.text(left + 6, row.boxes + 22, fits[0], SIZE, class_="ink"))
    return parts


def _moves(row: _Row, timeline: CueTimeline, words: Mapping[str, str]) -> list[str]:
    parts = []
    before: Change | None = None
    for change in timeline.changes:
        if row.shows(change.time_s, change.end_s):
            parts += _move(row, change, before, words)
        before = change
    return parts


def _move(row: _Row, change: Change, before: Change | None, words: Mapping[str, str]) -> list[str]:
    """Return the box of a change: a bar at its start, broad for another move; its words in full.

    Words take two rows, then smaller letters, then fewer: the name with turn and side, then the
    name, then the side; what does not go at all is left to the calls below.
    """
    left, right = row.x(change.time_s), row.x(change.end_s)
    parts = [svg.rectangle(left, row.moves, right - left, MOVE_HEIGHT - 6, class_="box move")]
    if row.holds(change.time_s):
        other = before is None or before.move != change.move
        width, kind = (7.0, "new") if other else (3.5, "varied")
        parts.append(svg.rectangle(left, row.moves, width, MOVE_HEIGHT - 6, class_=kind))
    side = words[f"side_{change.lead}"] if change.lead else ""
    turn = stint_told(change.stint, words) if change.stint is not None else ""
    styles = (side, *change.style_names, "" if change.pattern == "2" else change.tempo_name)
    full = " · ".join(part for part in (turn, change.name, *styles) if part)
    led = " · ".join(part for part in (turn, change.name, side) if part)
    sided = " · ".join(part for part in (change.name, side) if part)
    room = right - left - 18.0
    for text in (full, led, sided, change.name, side):
        for size in (SIZE, 17.0, SMALL):
            lines = fitting_words(text, room, size)
            if lines and len(lines) * size * 1.2 <= MOVE_HEIGHT - 10:
                for number, line in enumerate(lines, 1):
                    y = row.moves + 2 + number * size * 1.2
                    parts.append(svg.text(left + 11, y, line, size, class_="ink"))
                return parts
    return parts
