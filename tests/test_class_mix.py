"""One continuous class: where the songs lie, and that its timeline tells what is heard."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pyloudnorm  # type: ignore[import-untyped]
import pytest
import soundfile
import webvtt
from song_making import FORM, RATE_HZ, make_class, make_planned, make_song, onsets_s

from aquatempo import audio
from aquatempo.deck.mix import MixPlace, merge_timelines, place_tracks
from aquatempo.exports.json_text import read_cue_json
from aquatempo.moves import catalogue
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.plan import ClassPlan
from aquatempo.records.rhythm import PhraseKind
from aquatempo.workflow.exporting import ExportOptions, export_class, timelines_of

# Played at 126, 126.7 (near: a crossfade) and 120 (another tempo: a gap).
TEMPOS_AND_SPEEDS = ((126.0, 1.0), (123.0, 1.03), (120.0, 1.0))


class Mixed:
    """Three songs joined and read back."""

    def __init__(self, folder: Path) -> None:
        tracks = []
        for number, (tempo_bpm, speed) in enumerate(TEMPOS_AND_SPEEDS):
            song = make_song(folder / f"song_{number}.wav", tempo_bpm, 0.31 + 0.2 * number)
            tracks.append(make_planned(song, speed))
        self.plan: ClassPlan = make_class(*tracks)
        self.timelines = timelines_of(self.plan, catalogue(), CueOptions())
        self.placed: tuple[MixPlace, ...] = place_tracks(self.timelines)
        options = ExportOptions(only=(), songs=("mix",), sound="wav")
        export_class(self.plan, str(folder / "out"), catalogue(), options)
        self.folder = folder / "out/with_song"
        self.samples, _ = soundfile.read(self.folder / "class_mix.wav", dtype="float32")
        text = (self.folder / "class_mix.json").read_text(encoding="utf-8")
        self.timeline: CueTimeline = read_cue_json(text)


@pytest.fixture(scope="module")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> Mixed:
    """Return the joined class."""
    return Mixed(tmp_path_factory.mktemp("mix"))


def test_each_beat_of_the_timeline_is_heard(mixed: Mixed) -> None:
    """At every beat of the merged timeline the mix has an onset within 5 ms.

    But for the bar of a crossfade, no onset is heard where the timeline has no beat.
    """
    found_s = onsets_s(mixed.samples[:, 0], RATE_HZ, least=0.05)
    beats_s = np.asarray(mixed.timeline.beats_s)
    bar_s = 4 * 60 / 126
    join_s = mixed.placed[1].at_s
    fading = (beats_s > join_s - 0.01) & (beats_s < join_s + bar_s)
    last_s = mixed.placed[2].next_s - mixed.placed[2].fade_out_s
    ringing = beats_s > last_s - 0.01  # the last song fades out: its beats sink below the rest
    for second in (0, 1):
        end_s = (
            mixed.placed[second].at_s + mixed.placed[second].end_s - mixed.placed[second].start_s
        )
        ringing |= (beats_s > end_s - mixed.placed[second].fade_out_s - 0.01) & (beats_s < end_s)
    clear_s = beats_s[~fading & ~ringing]
    distance_s = np.abs(found_s[None, :] - clear_s[:, None]).min(axis=1)
    assert distance_s.max() < 0.005
    stray_s = np.abs(found_s[:, None] - beats_s[None, :]).min(axis=1)
    inside = (found_s > join_s - 0.01) & (found_s < join_s + bar_s)
    assert stray_s[~inside].max() < 0.005


def test_a_crossfade_keeps_the_beat(mixed: Mixed) -> None:
    """Songs near in tempo overlap by a bar in which their beats part by 20 ms at most."""
    first, second = mixed.placed[0], mixed.placed[1]
    overlap_s = first.at_s + first.end_s - first.start_s - second.at_s
    assert overlap_s == pytest.approx(4 * 60 / 126, abs=1e-6)
    assert second.at_s == pytest.approx(first.shift_s + mixed.timelines[0].phrases[-1].end_s)
    leaving_s = np.asarray(mixed.timelines[0].beats_s) + first.shift_s
    leaving_s = leaving_s[leaving_s > second.at_s - 1e-6][:5]
    coming_s = np.asarray(mixed.timelines[1].beats_s[:5]) + second.shift_s
    assert np.abs(leaving_s - coming_s).max() < 0.02


def test_other_tempos_are_parted_by_a_gap(mixed: Mixed) -> None:
    """Where tempos differ, the song rings out and its next starts 2 s after the last phrase."""
    second, third = mixed.placed[1], mixed.placed[2]
    assert third.at_s == pytest.approx(second.shift_s + mixed.timelines[1].phrases[-1].end_s + 2.0)
    quiet = slice(round((third.at_s - 0.3) * RATE_HZ), round(third.at_s * RATE_HZ))
    assert np.abs(mixed.samples[quiet]).max() == 0.0


def test_phrases_follow_on_their_own_counts(mixed: Mixed) -> None:
    """Every phrase of every song is there, starts on a beat, and has its counts inside it."""
    phrases = mixed.timeline.phrases
    assert [phrase.counts for phrase in phrases] == [*FORM] * 3
    for phrase in phrases:
        assert mixed.timeline.beats_s[phrase.start_beat] == pytest.approx(phrase.start_s, abs=1e-6)
        within = [phrase.start_s - 1e-6 <= t < phrase.end_s - 1e-6 for t in mixed.timeline.beats_s]
        assert sum(within) == phrase.counts
    assert [phrase.kind for phrase in phrases].count(PhraseKind.BRIDGE) == 3


def test_calls_and_changes_keep_their_beats(mixed: Mixed) -> None:
    """Calls and changes stand on the beats that they name, in order, before their change."""
    timeline = mixed.timeline
    assert len(timeline.changes) == sum(len(one.changes) for one in mixed.timelines)
    for change in timeline.changes:
        assert timeline.beats_s[change.beat] == pytest.approx(change.time_s, abs=1e-6)
    for cue in timeline.cues:
        assert timeline.beats_s[cue.beat] == pytest.approx(cue.time_s, abs=1e-6)
        if cue.kind != "count 1":
            assert cue.end_s <= timeline.changes[cue.change].time_s + 1e-6
    assert list(timeline.beats_s) == sorted(timeline.beats_s)


def test_the_mix_is_as_long_and_as_loud_as_stated(mixed: Mixed) -> None:
    """As long as its timeline says, -16 LUFS within 1 LU by pyloudnorm, peaks below -1 dBTP."""
    assert len(mixed.samples) / RATE_HZ == pytest.approx(mixed.timeline.duration_s, abs=0.001)
    loudness = pyloudnorm.Meter(RATE_HZ).integrated_loudness(mixed.samples.astype(np.float64))
    assert loudness == pytest.approx(-16.0, abs=1.0)
    assert audio.true_peak_dbtp(mixed.samples, RATE_HZ) < -1.0


def test_captions_of_the_class_parse_back(mixed: Mixed) -> None:
    """The captions of the mix are read by webvtt-py, in order, one a call."""
    captions = webvtt.read(str(mixed.folder / "class_mix.vtt")).captions
    starts_s = [caption.start_in_seconds for caption in captions]
    assert len(captions) == len(mixed.timeline.cues)
    assert starts_s == sorted(starts_s)


def test_one_track_alone_is_a_class(mixed: Mixed) -> None:
    """A class of one song has that song's timeline, but for the fade after its last phrase."""
    (place,) = place_tracks(mixed.timelines[:1])
    whole = merge_timelines("alone", mixed.timelines[:1], (place,))
    assert whole.phrases == mixed.timelines[0].phrases
    assert whole.cues == mixed.timelines[0].cues
    assert place.at_s == place.start_s == 0.0


def test_a_song_that_is_left_early_is_left_in_the_mix_too(mixed: Mixed) -> None:
    """What follows the last planned count is not in the mix, nor in its beats and phrases."""
    first, second, third = mixed.timelines
    end_s = first.phrases[-1].start_s
    left = replace(first, changes=(replace(first.changes[0], end_s=end_s),))
    placed = place_tracks((left, third, second))
    assert placed[1].at_s == pytest.approx(end_s + placed[0].shift_s + 2.0)
    whole = merge_timelines("left", (left, third, second), placed)
    here = [phrase for phrase in whole.phrases if phrase.start_s < placed[1].at_s - 1e-6]
    assert here[-1].end_s <= end_s + placed[0].shift_s + 2.0
    assert list(whole.beats_s) == sorted(whole.beats_s)
    for phrase in whole.phrases:
        assert whole.beats_s[phrase.start_beat] == pytest.approx(phrase.start_s, abs=1e-6)
