"""Answers and truths to markdown tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from aquatempo.records.bench import MeanScore, TrackScore
from aquatempo.records.rhythm import PhraseKind
from aquatempo.workflow.bench import mean_score, truth_from_plain
from aquatempo.workflow.bench_measures import Heard, Span, bridge_counts, score_track

from .layout import DEVELOPMENT, SECOND, Truth

Answer = dict[str, Any]
NOT_EXERCISE = {
    "feelings",
    "33-journey-to-times-gone-by",
    "44-above-the-sky",
    "in-game-music-1_reg",
    "last_lane_slowly",
}
"""Tracks outside 100 to 160 bpm, or without drums: docs/rhythm.md lists them before scoring."""

WEAK = (*DEVELOPMENT, *SECOND)
"""Sets whose phrases are hints or missing; nothing of them is scored as phrases."""


@dataclass(frozen=True)
class Row:
    """One system on one track."""

    track: Truth
    answer: Answer
    score: TrackScore
    bridges: tuple[int, int, int]


def scored(track: Truth, answer: Answer) -> Row:
    """Return the score of an answer; one with an error scores 0."""
    plain = dict(track)
    if track["set"] in WEAK:
        plain.pop("phrases", None)
    truth = truth_from_plain(plain)
    if answer.get("error"):
        score = score_track(track["id"], truth, None, answer["error"])
        return Row(track, answer, score, bridge_counts(truth, ()))
    heard = heard_of(answer)
    score = score_track(track["id"], truth, heard)
    bridges = (0, 0, 0) if heard.spans is None else bridge_counts(truth, heard.spans)
    return Row(track, answer, score, bridges)


def exercise_type(track: Truth) -> bool:
    """Tell whether a track is steady 4/4 at 100 to 160 bpm with drums."""
    inside = 99.9 <= track["tempo_bpm"] <= 160.1 and track["id"] not in NOT_EXERCISE
    return bool(inside and track.get("steady", True) and track.get("beats_per_bar", 4) == 4)


def heard_of(answer: Answer) -> Heard:
    """Return the answer as the scorer takes it."""
    phrases = answer.get("phrases")
    downbeats = answer.get("downbeats_s")
    return Heard(
        answer.get("tempo_bpm"),
        tuple(answer.get("beats_s") or ()),
        None if downbeats is None else tuple(downbeats),
        None
        if phrases is None
        else tuple(
            Span(phrase["start_s"], phrase["counts"], PhraseKind(phrase["kind"]))
            for phrase in phrases
        ),
        answer.get("confidence"),
    )


def percent(value: float | None) -> str:
    """Return a share as a percentage with one decimal, or a dash."""
    return "-" if value is None else f"{100 * value:.1f}"


def signed(value: float | None) -> str:
    """Return milliseconds with their sign, or a dash."""
    return "-" if value is None else f"{value:+.1f}"


COLUMNS: dict[str, Callable[[MeanScore], str]] = {
    "beat F": lambda mean: percent(mean.beat_f),
    "CMLt": lambda mean: percent(mean.cmlt),
    "AMLt": lambda mean: percent(mean.amlt),
    "downbeat F": lambda mean: percent(mean.downbeat_f),
    "phrase F": lambda mean: percent(mean.phrase_f),
    "bridge precision": lambda mean: percent(mean.bridge_precision),
    "bridge recall": lambda mean: percent(mean.bridge_recall),
    "tempo within 4 %": lambda mean: percent(mean.tempo_near),
    "within 0.1 bpm": lambda mean: percent(mean.tempo_exact),
    "error ms": lambda mean: "-" if mean.error_ms is None else f"{mean.error_ms:.1f}",
    "bias ms": lambda mean: signed(mean.bias_ms),
    "early beats": lambda mean: str(mean.early_beats),
}


def usable(rows: Sequence[Row]) -> list[Row]:
    """Return the rows whose beats are known (one chart of the recordings knows only its tempo)."""
    return [row for row in rows if row.track.get("beat_trust") != "tempo only"]


def level_clear(rows: Sequence[Row]) -> list[Row]:
    """Return the rows where half or double the tempo would be a worse answer."""
    return [row for row in rows if not row.track.get("level_arguable")]


def table(systems: dict[str, list[Row]]) -> list[str]:
    """Return a table with one line a system."""
    heads = ["system", "tracks", "failed", *COLUMNS]
    lines = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    for system, rows in systems.items():
        known = usable(rows)
        mean = mean_score([row.score for row in known], [row.bridges for row in known])
        if not any(row.answer.get("phrases") is not None for row in known):
            mean_cells = {"bridge precision": "-", "bridge recall": "-"}
        else:
            mean_cells = {}
        cells = [mean_cells.get(head) or column(mean) for head, column in COLUMNS.items()]
        failed = sum(bool(row.answer.get("error")) for row in rows)
        lines.append(f"| {system} | {len(known)} | {failed} | {' | '.join(cells)} |")
    return lines


def track_lines(rows: Sequence[Row]) -> list[str]:
    """Return one line a track, with what went wrong."""
    heads = ("track", "bpm", "heard", "beat F", "downbeat F", "phrase F", "bridges", "confidence")
    lines = [f"| {' | '.join((*heads, 'trouble'))} |", "|---" * (len(heads) + 1) + "|"]
    for row in rows:
        score, (hit, there, heard) = row.score, row.bridges
        sure = "-" if score.confidence is None else f"{score.confidence:.2f}"
        answer = "-" if score.heard_bpm is None else f"{score.heard_bpm:.2f}"
        cells = (
            f"{row.track['set']}/{score.file}",
            f"{score.tempo_bpm:.2f}",
            answer,
            percent(score.beat_f),
            percent(score.downbeat_f),
            percent(score.phrase_f),
            f"{hit} of {there}, {heard} heard",
            sure,
            score.trouble + (" (level arguable)" if row.track.get("level_arguable") else ""),
        )
        lines.append(f"| {' | '.join(cells)} |")
    return lines


def hint_lines(rows: Sequence[Row]) -> list[str]:
    """Return how far phrase starts agree with hints: crash cymbals every eight bars. Weak truth.

    F-measure within half a beat, as for phrases.
    """
    values = []
    for row in rows:
        hints, phrases = row.track.get("phrase_hints_s"), row.answer.get("phrases")
        if not hints or phrases is None:
            continue
        marked = [
            {"start_s": time, "end_s": time, "counts": 32, "kind": "phrase"} for time in hints
        ]
        truth = truth_from_plain({**row.track, "phrases": marked})
        values.append(score_track("", truth, heard_of(row.answer)).phrase_f or 0.0)
    if not values:
        return []
    return [
        f"Agreement with weak hints of phrases: F {percent(sum(values) / len(values))} "
        f"on {len(values)} tracks.",
        "",
    ]


def confidence_lines(rows: Sequence[Row]) -> list[str]:
    """Return how often tracks are right (tempo and downbeat) by stated confidence.

    Tracks whose bars are not known are left out.
    """
    lines = ["| confidence | tracks | right | share right |", "|---|---|---|---|"]
    known = [row for row in usable(rows) if row.track.get("downbeats_s")]
    for low, high in ((0.9, 1.01), (0.7, 0.9), (0.5, 0.7), (0.0, 0.5)):
        inside = [
            row
            for row in known
            if row.score.confidence is not None and low <= row.score.confidence < high
        ]
        right = sum(row.score.tempo_near and (row.score.downbeat_f or 0) > 0.8 for row in inside)
        share = percent(right / len(inside)) if inside else "-"
        lines.append(f"| {low:.1f} to {min(high, 1):.1f} | {len(inside)} | {right} | {share} |")
    return lines
