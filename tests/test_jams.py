"""JAMS text, read back by the jams library (McFee et al., JAMS 0.3) and by ourselves."""

from __future__ import annotations

import io
import json
import warnings
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from aquatempo.deck.track_files import write_jams
from aquatempo.errors import InputError, TextFileError
from aquatempo.exports.jams import from_jams, to_jams
from aquatempo.music.hearing import open_track
from aquatempo.records.origin import Origin
from aquatempo.records.rhythm import (
    EnergyLevel,
    Phrase,
    PhraseKind,
    RhythmAnalysis,
    TempoAlternative,
    TempoSection,
)
from aquatempo.workflow.cueing import cue

BEATS_S = tuple(0.25 + 0.5 * beat for beat in range(74))
COUNTS = ((2, "intro"), (32, "phrase"), (8, "bridge"), (32, "break"))


def analysis() -> RhythmAnalysis:
    """Return an analysis with a pick-up, a bridge and a breakdown."""
    phrases, start = [], 0
    for counts, kind in COUNTS:
        stop_s = BEATS_S[start] + 0.5 * counts
        level = EnergyLevel.LOW if kind == "break" else EnergyLevel.HIGH
        phrases.append(Phrase(BEATS_S[start], stop_s, start, counts, PhraseKind(kind), 0.4, level))
        start += counts
    return RhythmAnalysis(
        duration_s=40.0,
        tempo_bpm=120.0,
        tempo_confidence=0.9,
        confidence=0.8,
        tempo_alternatives=(TempoAlternative(60.0, 0.1),),
        tempo_sections=(TempoSection(0.0, 40.0, 120.0, 0.95),),
        steady=True,
        tempo_drift_percent=0.1,
        beats_per_bar=4,
        beats_s=BEATS_S,
        beats_inferred=tuple(beat >= 42 for beat in range(len(BEATS_S))),
        downbeats_s=BEATS_S[2::4],
        phrases=tuple(phrases),
        notes=("kept",),
    )


def loaded(text: str) -> Any:
    """Return the text as the jams library reads and validates it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own imports warn
        jams = pytest.importorskip("jams", reason="the reference reader")
        document = jams.load(io.StringIO(text), validate=True, strict=True)
        assert document.validate()
    return document


def test_the_library_reads_beats_and_downbeats() -> None:
    """The jams library validates the text strictly and finds every beat and its place."""
    beats = loaded(to_jams(analysis(), "Odd Lane")).search(namespace="beat")[0]
    assert [row.time for row in beats.data] == pytest.approx(BEATS_S)
    places = [row.value for row in beats.data]
    assert places[:8] == [None, None, 1, 2, 3, 4, 1, 2]


def test_the_library_reads_stretches_and_tempo() -> None:
    """Stretches come back as open segments with their kind, and the tempo with its span."""
    document = loaded(to_jams(analysis(), "Odd Lane"))
    rows = document.search(namespace="segment_open")[0].data
    assert [row.value for row in rows] == [kind for _, kind in COUNTS]
    assert [row.duration for row in rows] == pytest.approx([0.5 * c for c, _ in COUNTS])
    (tempo,) = document.search(namespace="tempo")[0].data
    assert (tempo.value, tempo.confidence) == (120.0, 0.95)
    assert document.file_metadata.title == "Odd Lane"
    assert document.file_metadata.duration == 40.0


def test_what_the_library_writes_back_reads_the_same() -> None:
    """Ours -> library -> ours gives an equal record."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        text = loaded(to_jams(analysis())).dumps()
    assert from_jams(text) == analysis()


def test_round_trip_is_exact() -> None:
    """Writing and reading gives an equal record, also where nothing was heard."""
    assert from_jams(to_jams(analysis())) == analysis()
    silent = replace(
        analysis(), tempo_bpm=None, tempo_alternatives=(), tempo_sections=(), beats_per_bar=None,
        beats_s=(), beats_inferred=(), downbeats_s=(), phrases=(),
    )  # fmt: skip
    assert from_jams(to_jams(silent)) == silent


def stranger() -> dict[str, Any]:
    """Return a document as another program may write it: no sandbox, labels of its own."""
    rows = [
        {"time": time, "duration": 0, "value": beat % 4 + 1, "confidence": None}
        for beat, time in enumerate(BEATS_S)
    ]
    parts = [
        {"time": BEATS_S[0] + 0.02, "duration": 16.0, "value": "A", "confidence": None},
        {"time": BEATS_S[32], "duration": 4.0, "value": "link", "confidence": None},
        {"time": BEATS_S[40], "duration": 17.0, "value": "B", "confidence": None},
    ]
    return {
        "annotations": [
            {"namespace": "beat", "data": rows},
            {"namespace": "segment_open", "data": parts},
        ],
        "file_metadata": {"duration": 40.0},
    }


def test_another_programs_file_is_understood() -> None:
    """Without our sandbox 32 counts are a phrase, 8 a bridge; the origin is entered."""
    read = from_jams(json.dumps(stranger()))
    assert [(p.start_beat, p.counts, p.kind) for p in read.phrases] == [
        (0, 32, PhraseKind.PHRASE),
        (32, 8, PhraseKind.BRIDGE),
        (40, 34, PhraseKind.BRIDGE),
    ]
    assert read.downbeats_s == BEATS_S[::4]
    assert read.tempo_bpm == pytest.approx(120.0)
    assert read.beats_per_bar == 4
    assert read.origin is Origin.ENTERED


def test_a_tempo_that_moves_in_another_programs_file_is_told() -> None:
    """Beats that come 0.1 % later each are no steady tempo; even ones are.

    Over eight of 74 beats the period grows by 1.001 ** 65, and by a little less without the
    outermost hundredths at either end: 6.7 % at most, 6 % at least.
    """
    document = stranger()
    rows = document["annotations"][0]["data"]
    assert from_jams(json.dumps(document)).steady
    for beat, row in enumerate(rows):
        row["time"] = 0.5 * (1.001**beat - 1) / 0.001
    moving = from_jams(json.dumps(document))
    assert not moving.steady
    assert 6.0 < moving.tempo_drift_percent < 6.7


def test_a_moved_stretch_wins_over_the_sandbox() -> None:
    """Where an editor moved a segment, the segment counts, not what we had noted."""
    document = json.loads(to_jams(analysis()))
    row = document["annotations"][2]["data"][2]
    row["time"], row["duration"] = BEATS_S[36], 3.0
    moved = from_jams(json.dumps(document)).phrases[2]
    assert (moved.start_beat, moved.counts, moved.kind) == (36, 6, PhraseKind.BRIDGE)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "line 1: not JSON"),
        ("[]", "not JAMS with beats"),
        ('{"annotations": [], "file_metadata": {}}', "namespace beat"),
        ("{}", "'annotations' is missing"),
    ],
)
def test_what_is_not_jams_is_named(text: str, words: str) -> None:
    """Other text gives one error that names the file and what is missing."""
    with pytest.raises(TextFileError, match=words) as caught:
        from_jams(text, "class.jams")
    assert str(caught.value).startswith("class.jams")


def test_a_jams_file_stands_in_for_a_song(tmp_path: Path) -> None:
    """What ``listen --jams`` writes is opened as a track, and calls can be placed on it."""
    song = Path(__file__).parent.parent / "sample_audio" / "odd_lane.ogg"
    heard = open_track(str(song))
    written = tmp_path / "odd_lane.jams"
    write_jams(heard, str(written))
    track, timeline = cue(str(written), moves=["jack"])
    assert track.title == "odd lane"
    assert track.analysis.beats_s == pytest.approx(heard.analysis.beats_s)
    assert any(call.words for call in timeline.cues)


def test_a_jams_file_has_its_suffix(tmp_path: Path) -> None:
    """A name that would not be found again as JAMS is refused."""
    song = Path(__file__).parent.parent / "sample_audio" / "odd_lane.ogg"
    with pytest.raises(InputError, match=r"needs a name that ends in \.jams"):
        write_jams(open_track(str(song)), str(tmp_path / "x.json"))
