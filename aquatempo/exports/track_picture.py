"""A picture of one track: energy, beats, eights, phrases, bridges, moves and calls.

Read like a page: rows of about 128 counts, the same time scale in each. A phrase
is a white box, a bridge a hatched one; beats that were not played but inferred are
open circles. Nothing depends on colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

from aquatempo.exports import svg
from aquatempo.records.cues import Cue, CueKind, CueTimeline
from aquatempo.records.rhythm import Phrase, PhraseKind, RhythmAnalysis
from aquatempo.units import COUNTS_PER_EIGHT, clock

__all__ = ["track_picture"]

WIDTH = 1400.0
MARGIN = 24.0
HEAD = 86.0
COUNTS_A_ROW = 128
LETTER_WIDTH = 5.9  # of a call, about
SPARE_COUNTS = 16  # more in a row than start a new one for a scrap
ENERGY_HEIGHT = 64.0
BEATS_HEIGHT = 22.0
BOX_HEIGHT = 34.0
CALLS_HEIGHT = 66.0  # one line of text for each kind of call
KIND_MARKS = {
    CueKind.WARN: "warn",
    CueKind.PREVIEW: "show",
    CueKind.COUNTDOWN: "count",
    CueKind.NAME: "name",
}


def track_picture(
    title: str,
    analysis: RhythmAnalysis,
    envelope: Sequence[float],
    timeline: CueTimeline | None = None,
) -> str:
    """Return SVG text.

    envelope: loudness 0 to 1 at equal steps over the whole track; may be empty. title: of the
    track; analysis: what was heard in the track; timeline: calls to draw, or None.
    """
    rows = _rows(analysis)
    row_height = ENERGY_HEIGHT + BEATS_HEIGHT + BOX_HEIGHT + 44.0
    if timeline is not None:
        row_height += BOX_HEIGHT + CALLS_HEIGHT
    scale = (WIDTH - 2 * MARGIN) / max((end - start for start, end in rows), default=1.0)
    parts = _head(title, analysis)
    for number, (start_s, end_s) in enumerate(rows):
        row = _Row(start_s, end_s, HEAD + number * row_height, scale)
        parts += _energy(row, envelope, analysis.duration_s)
        parts += _beats(row, analysis)
        parts += _phrases(row, analysis.phrases)
        if timeline is not None:
            parts += _moves(row, timeline) + _calls(row, timeline)
    height = HEAD + len(rows) * row_height + 30.0
    parts.append(svg.text(MARGIN, height - 12, _legend(timeline is not None), 13, fill="#333"))
    return svg.document(WIDTH, height, f"{title}: beats, phrases and calls", parts)


class _Row:
    """A row: the stretch of time that it shows and where its bands lie."""

    def __init__(self, start_s: float, end_s: float, top: float, scale: float) -> None:
        self.start_s, self.end_s, self.scale = start_s, end_s, scale
        self.energy = top
        self.beats = top + ENERGY_HEIGHT
        self.boxes = self.beats + BEATS_HEIGHT
        self.moves = self.boxes + BOX_HEIGHT + 2
        self.calls = self.moves + BOX_HEIGHT

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


def _head(title: str, analysis: RhythmAnalysis) -> list[str]:
    if analysis.tempo_bpm is None:
        facts = "no beat found"
    else:
        phrases = sum(phrase.kind is PhraseKind.PHRASE for phrase in analysis.phrases)
        bridges = sum(phrase.kind is PhraseKind.BRIDGE for phrase in analysis.phrases)
        steady = "steady" if analysis.steady else f"drifts {analysis.tempo_drift_percent:.1f} %"
        facts = (
            f"{analysis.tempo_bpm:.1f} bpm, {steady} · {phrases} phrases of 32 · "
            f"{bridges} bridge{'' if bridges == 1 else 's'} · "
            f"sure of tempo {analysis.tempo_confidence:.0%}, "
            f"of tempo and count 1 {analysis.confidence:.0%}"
        )
    return [
        svg.text(MARGIN, 36, title, 26, font_weight="bold", fill="#000"),
        svg.text(MARGIN, 62, facts, 17, fill="#222"),
    ]


def _legend(with_calls: bool) -> str:
    words = (
        "grey: loudness · tick: beat, long tick: count 1 of an eight, ○ beat inferred · "
        "white box: phrase, hatched: bridge or break"
    )
    calls = "; calls are written where they start" if with_calls else ""
    return words + calls


def _energy(row: _Row, envelope: Sequence[float], duration_s: float) -> list[str]:
    base = row.beats
    parts = [svg.line(row.x(row.start_s), base, row.x(row.end_s), base, stroke="#888")]
    if envelope and duration_s > 0:
        step_s = duration_s / len(envelope)
        inside = [
            (row.x((index + 0.5) * step_s), base - (ENERGY_HEIGHT - 14) * level)
            for index, level in enumerate(envelope)
            if row.holds((index + 0.5) * step_s)
        ]
        if len(inside) > 1:
            closed = [(inside[0][0], base), *inside, (inside[-1][0], base)]
            parts.append(svg.polygon(closed, fill="#c9ced3"))
    for second in range(0, int(row.end_s) + 1, 5):
        if row.holds(second):
            label = clock(second)
            parts.append(svg.text(row.x(second), row.energy + 10, label, 11, fill="#444"))
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
        x, length = row.x(time_s), 17.0 if index in firsts else 8.0
        if inferred:
            parts.append(
                f'<circle cx="{x:.2f}" cy="{row.beats + 5:.2f}" r="2.6" fill="#fff" stroke="#000"/>'
            )
        else:
            width = 2.2 if index in firsts else 1.0
            parts.append(
                svg.line(x, row.beats, x, row.beats + length, stroke="#000", stroke_width=width)
            )
    return parts


def _phrases(row: _Row, phrases: Sequence[Phrase]) -> list[str]:
    parts = []
    number = 0
    for phrase in phrases:
        number += phrase.kind is PhraseKind.PHRASE
        if not row.shows(phrase.start_s, phrase.end_s):
            continue
        whole = phrase.kind is PhraseKind.PHRASE
        name = f"phrase {number}" if whole else f"{phrase.kind}"
        odd = phrase.kind in (PhraseKind.BRIDGE, PhraseKind.BREAK)
        label = f"{name} · {phrase.counts} · {phrase.energy_level}"
        parts += _box(
            row, row.boxes, phrase.start_s, phrase.end_s, (label, name, str(phrase.counts)), odd
        )
    return parts


def _moves(row: _Row, timeline: CueTimeline) -> list[str]:
    parts = []
    for change in timeline.changes:
        if row.shows(change.time_s, change.end_s):
            varied = " · ".join((change.name, *change.variation_names))
            labels = (f"{varied} · {change.pattern}", varied, change.name, change.name[:6])
            parts += _box(row, row.moves, change.time_s, change.end_s, labels, False, "#eef1f4")
    return parts


def _box(
    row: _Row,
    top: float,
    start_s: float,
    end_s: float,
    labels: tuple[str, ...],
    hatched: bool,
    fill: str = "#fff",
) -> list[str]:
    """Return a box with the longest of the labels that fits."""
    left, right = row.x(start_s), row.x(end_s)
    shape = svg.rectangle(
        left, top, right - left, BOX_HEIGHT - 4,
        fill="url(#hatch)" if hatched else fill, stroke="#000", stroke_width=1.4,
    )  # fmt: skip
    fitting = [label for label in labels if len(label) * 7.6 + 8 <= right - left]
    if not fitting:
        return [shape]
    width = len(fitting[0]) * 7.6
    ground = [svg.rectangle(left + 3, top + 4, width + 4, BOX_HEIGHT - 12, fill="#fff")]
    words = svg.text(left + 5, top + 20, fitting[0], 14, fill="#000")
    return [shape, *(ground if hatched else []), words]


def _calls(row: _Row, timeline: CueTimeline) -> list[str]:
    lanes = {kind: lane for lane, kind in enumerate(KIND_MARKS)}
    free = dict.fromkeys(lanes, 0.0)  # where the last text of a lane ends
    parts = []
    for number, cue in enumerate(timeline.cues):
        if cue.kind not in lanes or not row.holds(cue.time_s):
            continue
        x, y = row.x(cue.time_s), row.calls + 13 + lanes[cue.kind] * 15
        words = cue.words or cue.sign
        if cue.kind is CueKind.COUNTDOWN:
            words = _count_left(timeline.cues[number:])
        if not words or x < free[cue.kind] - 4:
            continue
        parts.append(svg.line(x, row.calls, x, y - 8, stroke="#999", stroke_width=0.7))
        room = int((WIDTH - x) / LETTER_WIDTH)
        if len(words) > room:
            words = words[: max(room - 1, 1)] + "…"
        parts.append(
            svg.text(
                x + 1.5, y, words, 11,
                fill="#000", stroke="#fff", stroke_width=3.0, paint_order="stroke",
            )
        )  # fmt: skip
        free[cue.kind] = x + len(words) * LETTER_WIDTH
    return parts


def _count_left(cues: Sequence[Cue]) -> str:
    """Return the figure of a countdown: two for its last call, one more for each before it."""
    left = sum(
        cue.kind is CueKind.COUNTDOWN and cue.change == cues[0].change
        for cue in cues[:COUNTS_PER_EIGHT]
    )
    return str(left + 1)
