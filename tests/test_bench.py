"""Scoring against truth files."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from aquatempo.errors import DecodeError, InputError, MissingExtraError, TextFileError
from aquatempo.records.rhythm import EnergyLevel, Phrase, PhraseKind, RhythmAnalysis
from aquatempo.workflow.bench import bench, truth_from_plain
from aquatempo.workflow.bench_measures import Heard, Span, Truth, bridge_counts, score_track

mir_eval = pytest.importorskip("mir_eval", reason="scoring is an optional part")
KINDS = [(8, "intro"), (32, "phrase"), (8, "bridge"), (32, "phrase"), (32, "break"), (16, "outro")]
PERIOD_S = 0.5  # 120 beats/min


def plain_truth() -> dict[str, object]:
    """Return a truth of 128 beats at 120 beats/min with one bridge."""
    beats = [0.4 + PERIOD_S * beat for beat in range(sum(counts for counts, _ in KINDS))]
    starts = np.cumsum([0, *[counts for counts, _ in KINDS]])
    return {
        "tempo_bpm": 120.0,
        "beats_s": beats,
        "downbeats_s": beats[::4],
        "phrases": [
            {"start_s": beats[start], "counts": counts, "kind": kind}
            for start, (counts, kind) in zip(starts, KINDS, strict=False)
        ],
    }


def heard_as(truth: Truth, shift_s: float = 0.0, tempo_bpm: float | None = None) -> Heard:
    """Return an answer equal to the truth, all of it moved by shift_s."""
    return Heard(
        tempo_bpm or truth.tempo_bpm,
        tuple(time + shift_s for time in truth.beats_s),
        tuple(time + shift_s for time in truth.downbeats_s),
        tuple(replace(span, start_s=span.start_s + shift_s) for span in truth.spans),
        0.9,
    )


TRUTH = truth_from_plain(plain_truth())


def test_the_truth_scores_full_marks() -> None:
    """An answer equal to the truth scores 1 on everything and has no trouble."""
    score = score_track("a", TRUTH, heard_as(TRUTH))
    figures = (score.beat_f, score.cmlt, score.amlt, score.downbeat_f, score.phrase_f)
    assert figures == (1, 1, 1, 1, 1)
    assert (score.bridge_precision, score.bridge_recall) == (1, 1)
    assert score.tempo_near
    assert score.tempo_exact
    assert score.trouble == ""


def test_beats_agree_with_mir_eval_called_directly() -> None:
    """F, CMLt and AMLt are those of mir_eval (Raffel et al. 2014) on the same trimmed beats."""
    rng = np.random.default_rng(5)
    found = np.sort(np.array(TRUTH.beats_s) + rng.normal(0, 0.04, len(TRUTH.beats_s)))
    score = score_track("a", TRUTH, Heard(120.0, tuple(found)))
    expected = mir_eval.beat.evaluate(np.array(TRUTH.beats_s), found)
    assert score.beat_f == pytest.approx(expected["F-measure"])
    assert score.cmlt == pytest.approx(expected["Correct Metric Level Total"])
    assert score.amlt == pytest.approx(expected["Any Metric Level Total"])


def test_bias_is_signed() -> None:
    """Beats 20 ms late have a bias of +20 ms; early ones -20 ms."""
    for shift_s in (0.02, -0.02):
        score = score_track("a", TRUTH, heard_as(TRUTH, shift_s))
        assert score.bias_ms == pytest.approx(1000 * shift_s)
        assert score.error_ms == pytest.approx(20)


@pytest.mark.parametrize(
    ("tempo_bpm", "step", "words"),
    [(60.0, 2, "tempo 1/2 of the truth"), (240.0, 1, "tempo 2 of the truth")],
)
def test_wrong_level_is_named(tempo_bpm: float, step: int, words: str) -> None:
    """A tempo at half or double the truth is told as such, and AMLt forgives what CMLt does not."""
    score = score_track("a", TRUTH, Heard(tempo_bpm, TRUTH.beats_s[::step]))
    assert score.trouble == words
    if step == 2:
        assert score.cmlt == 0
        assert score.amlt == pytest.approx(1)


def test_off_beat_and_off_bar_are_named() -> None:
    """Half a beat and two beats of shift are told apart."""
    half = score_track("a", TRUTH, heard_as(TRUTH, PERIOD_S / 2))
    assert half.trouble == "half a beat off"
    moved = heard_as(TRUTH)
    bars = Heard(120.0, moved.beats_s, TRUTH.beats_s[2::4], None)
    assert score_track("a", TRUTH, bars).trouble == "bars 2 beats off"


def test_phrases_count_within_half_a_beat() -> None:
    """A phrase start 0.4 beat off is a hit, 0.6 beat off a miss."""
    near = score_track("a", TRUTH, heard_as(TRUTH, 0.4 * PERIOD_S))
    far = score_track("a", TRUTH, heard_as(TRUTH, 0.6 * PERIOD_S))
    assert near.phrase_f == 1
    assert far.phrase_f == 0


def test_an_outro_called_a_phrase_is_no_error() -> None:
    """A phrase heard at the start of an introduction or outro counts neither way."""
    spans = tuple(
        replace(span, kind=PhraseKind.PHRASE, counts=32)
        if span.kind in (PhraseKind.INTRO, PhraseKind.OUTRO)
        else span
        for span in TRUTH.spans
    )
    assert score_track("a", TRUTH, replace(heard_as(TRUTH), spans=spans)).phrase_f == 1


def test_a_missed_bridge_costs_recall_and_an_invented_one_precision() -> None:
    """Bridges are matched within 8 counts, one to one."""
    invented = (*TRUTH.spans, Span(50.0, 4, PhraseKind.BRIDGE))
    score = score_track("a", TRUTH, replace(heard_as(TRUTH), spans=invented))
    assert (score.bridge_precision, score.bridge_recall) == (0.5, 1.0)
    none = tuple(span for span in TRUTH.spans if span.kind is not PhraseKind.BRIDGE)
    score = score_track("a", TRUTH, replace(heard_as(TRUTH), spans=none))
    assert (score.bridge_precision, score.bridge_recall) == (None, 0.0)


def test_bridges_count_only_where_they_are_marked() -> None:
    """A track without marked phrases adds nothing to the counts of bridges."""
    unmarked = Truth(120.0, TRUTH.beats_s)
    assert bridge_counts(unmarked, TRUTH.spans) == (0, 0, 0)
    assert bridge_counts(TRUTH, TRUTH.spans) == (1, 1, 1)


def test_what_is_not_offered_is_not_scored() -> None:
    """An answer without downbeats and phrases gets None there, not 0."""
    score = score_track("a", TRUTH, Heard(120.0, TRUTH.beats_s))
    assert (score.downbeat_f, score.phrase_f, score.bridge_recall) == (None, None, None)


def test_early_beats_are_counted() -> None:
    """Beats in the silence before the music are counted, the first 0.3 s of it forgiven."""
    late = Truth(120.0, tuple(3 + 0.5 * beat for beat in range(60)))
    score = score_track("a", late, Heard(120.0, (0.5, 1.0, 2.9, *late.beats_s)))
    assert score.early_beats == 2


def analysis_of(truth: Truth) -> RhythmAnalysis:
    """Return an analysis that equals the truth."""
    starts = {time: index for index, time in enumerate(truth.beats_s)}
    phrases = tuple(
        Phrase(s.start_s, s.start_s + s.counts * PERIOD_S, starts[s.start_s], s.counts, s.kind,
               0.5, EnergyLevel.MEDIUM)
        for s in truth.spans
    )  # fmt: skip
    count = len(truth.beats_s)
    return RhythmAnalysis(
        70.0, truth.tempo_bpm, 0.9, 0.9, (), (), True, 0.0, 4, truth.beats_s,
        (False,) * count, truth.downbeats_s, phrases,
    )  # fmt: skip


def test_bench_pairs_scores_and_reports_failures(tmp_path: Path) -> None:
    """Tracks with truth are scored in order; one that cannot be read scores 0 and says why."""
    for name in ("good", "broken"):
        (tmp_path / f"{name}.ogg").touch()
        (tmp_path / f"{name}.json").write_text(json.dumps(plain_truth()))
    (tmp_path / "no_truth.wav").touch()
    done: list[tuple[int, int]] = []

    def analyse(path: str) -> RhythmAnalysis:
        if "broken" in path:
            raise DecodeError(path, [("soundfile", "empty")])
        return analysis_of(TRUTH)

    report = bench(str(tmp_path), analyse=analyse, progress=lambda *now: done.append(now))
    assert [score.file for score in report.tracks] == ["broken.ogg", "good.ogg"]
    assert "soundfile: empty" in report.tracks[0].trouble
    assert report.tracks[1].phrase_f == 1
    assert report.mean.tracks == 2
    assert report.mean.failed == 1
    assert report.mean.beat_f == pytest.approx(0.5)
    assert report.mean.bridge_recall == 0.5
    assert done == [(1, 2), (2, 2)]


def test_a_folder_without_pairs_says_what_is_needed(tmp_path: Path) -> None:
    """No pair: the message says what a pair is; no folder: it says so."""
    with pytest.raises(InputError, match="audio and JSON of the same name"):
        bench(str(tmp_path))
    with pytest.raises(InputError, match="is no folder"):
        bench(str(tmp_path / "missing"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[1]", "a list, need an object"),
        ('{"tempo_bpm": "fast", "beats_s": []}', "need a number from 20 to 400"),
        ('{"tempo_bpm": 120, "beats_s": [1, 0.5]}', "times do not ascend"),
        ('{"tempo_bpm": 120, "beats_s": ["one"]}', "need a list of times"),
        ('{"tempo_bpm": 120, "beats_s": [], "phrases": [{"kind": "verse"}]}', r"phrases\[0\]"),
        ("{", "not a truth file"),
    ],
)
def test_a_bad_truth_file_is_named(tmp_path: Path, text: str, words: str) -> None:
    """A truth file that cannot be used is named with what is wrong in it."""
    (tmp_path / "song.wav").touch()
    (tmp_path / "song.json").write_text(text)
    with pytest.raises(TextFileError, match=words) as caught:
        bench(str(tmp_path))
    assert "song.json" in str(caught.value)


def test_without_mir_eval_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where mir_eval is missing the error names the extra to install."""
    monkeypatch.setitem(sys.modules, "mir_eval", None)
    with pytest.raises(MissingExtraError, match=r"aquatempo\[bench\]"):
        score_track("a", TRUTH, heard_as(TRUTH))
