"""Where songs lie in a class and the timeline that is merged from them, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from aquatempo.deck.mix import merge_timelines, place_tracks
from aquatempo.records.cues import Change, Cue, CueKind, CuePhrase, CueTimeline
from aquatempo.records.deck import MixPlace
from aquatempo.records.rhythm import EnergyLevel, PhraseKind


def song(
    tempo_bpm: float = 120.0,
    first_beat: int = 20,
    counts: tuple[int, ...] = (32,),
    duration_s: float = 40.0,
    beat_0_s: float = 0.0,
) -> CueTimeline:
    """Return a song with a beat from beat_0_s to its end, and phrases from first_beat on."""
    period_s = 60.0 / tempo_bpm
    beats = int((duration_s - beat_0_s) / period_s)
    phrases, at = [], first_beat
    for number in counts:
        start_s, end_s = beat_0_s + at * period_s, beat_0_s + (at + number) * period_s
        phrases.append(CuePhrase(start_s, end_s, at, number, PhraseKind.PHRASE, EnergyLevel.MEDIUM))
        at += number
    return CueTimeline(
        title="invented",
        file="invented.wav",
        tempo_bpm=tempo_bpm,
        beats_s=tuple(beat_0_s + n * period_s for n in range(beats)),
        beats_inferred=(False,) * beats,
        changes=(),
        cues=(),
        phrases=tuple(phrases),
        duration_s=duration_s,
    )


def change(time_s: float, end_s: float, beat: int, counts: int, phrase: int = 0) -> Change:
    """Return a change to a jog that lasts some counts."""
    return Change(
        time_s, end_s, beat, counts, phrase, "jog", "Jog", (), "2", "", "II", "in place", True,
        False,
    )  # fmt: skip


def call(time_s: float, beat: int, phrase: int) -> Cue:
    """Return a call of one second that leads to the first change."""
    return Cue(time_s, time_s + 1.0, beat, 1, phrase, 0, CueKind.WARN, "next jog", "pump the arms")


def near(one: MixPlace) -> object:
    """Return what a place is compared with: equal to a billionth."""
    values = (one.start_s, one.end_s, one.at_s, one.next_s, one.fade_in_s, one.fade_out_s)
    return pytest.approx(values, abs=1e-9)


def values(one: MixPlace) -> tuple[float, ...]:
    """Return the times of a place in order."""
    return (one.start_s, one.end_s, one.at_s, one.next_s, one.fade_in_s, one.fade_out_s)


# At 120 beats/min beat 20 falls at 10 s and 32 counts end at 26 s.
# The first song starts 8 counts (4 s) before its phrase, at 6 s; fades in over half of 0.05 s.
# The last one rings for 3 s: to 29 s, 23 s after its start.
ALONE = MixPlace(6.0, 29.0, 0.0, 23.0, 0.025, 3.0)


@pytest.mark.parametrize(
    ("songs", "wanted"),
    [
        pytest.param([song()], [ALONE], id="alone"),
        pytest.param(
            [song(first_beat=2)],
            # Its phrase starts at 1 s: no 8 counts are there before it. 17 + 3 = 20 s.
            [MixPlace(0.0, 20.0, 0.0, 20.0, 0.025, 3.0)],
            id="little before the first phrase",
        ),
        pytest.param(
            [song(duration_s=27.0)],
            # One second is left to ring out.
            [MixPlace(6.0, 27.0, 0.0, 21.0, 0.025, 1.0)],
            id="the file ends while it rings",
        ),
        pytest.param(
            [song(), song(first_beat=4)],
            # A bar of 4 counts is 2 s: to 28 s. The next starts where the phrase ends, 26 - 6 s,
            # on its own count 1 at 2 s; it ends at 18 + 3 s, 19 s later.
            [MixPlace(6.0, 28.0, 0.0, 20.0, 0.025, 0.0), MixPlace(2.0, 21.0, 20.0, 39.0, 0.0, 3.0)],
            id="one tempo",
        ),
        pytest.param(
            [song(), song(150.0)],
            # Rings 1.5 s; the next is placed 2 s after the phrase, its count 1 (beat 20 at 8 s)
            # with 0.05 s before it. 32 counts are 12.8 s: 20.8 + 3 s. 22 + 23.8 - 7.95 s.
            [
                MixPlace(6.0, 27.5, 0.0, 22.0, 0.025, 1.5),
                MixPlace(7.95, 23.8, 22.0, 37.85, 0.025, 3.0),
            ],
            id="two tempos",
        ),
        pytest.param(
            [song(), song(150.0, first_beat=0)],
            # A song whose count 1 is its first sound has nothing to fade in. 12.8 + 3 s.
            [
                MixPlace(6.0, 27.5, 0.0, 22.0, 0.025, 1.5),
                MixPlace(0.0, 15.8, 22.0, 37.8, 0.0, 3.0),
            ],
            id="count 1 at once",
        ),
        pytest.param(
            [song(), song(150.0), song(150.0)],
            # The middle one: from 7.95 s, a bar of 1.6 s over its end; the third starts at
            # 22 + 20.8 - 7.95 s without a pre-roll.
            [
                MixPlace(6.0, 27.5, 0.0, 22.0, 0.025, 1.5),
                MixPlace(7.95, 22.4, 22.0, 34.85, 0.025, 0.0),
                MixPlace(8.0, 23.8, 34.85, 50.65, 0.0, 3.0),
            ],
            id="three",
        ),
        pytest.param(
            [replace(song(), phrases=())],
            # Nothing is planned: the whole file, from its start to its end.
            [MixPlace(0.0, 40.0, 0.0, 40.0, 0.0, 0.0)],
            id="no phrases",
        ),
        pytest.param(
            [replace(song(), changes=(change(10.0, 20.0, 20, 20),))],
            # What is done ends at 20 s, before the phrase does: 20 + 3 s.
            [MixPlace(6.0, 23.0, 0.0, 17.0, 0.025, 3.0)],
            id="left early",
        ),
    ],
)
def test_songs_lie_where_counting_puts_them(
    songs: list[CueTimeline], wanted: list[MixPlace]
) -> None:
    """Each song starts, ends and fades where the rules of the mix put it (see the comments)."""
    placed = place_tracks(songs)
    assert len(placed) == len(wanted)
    for one, other in zip(placed, wanted, strict=True):
        assert values(one) == near(other)


@pytest.mark.parametrize(
    ("tempo_bpm", "joins"),
    [(120.0, True), (122.39, True), (122.41, False), (117.61, True), (117.59, False)],
)
def test_tempos_within_two_per_cent_join(tempo_bpm: float, joins: bool) -> None:
    """A next song that is 2 % faster or slower at most overlaps: no fade, a bar over the end."""
    first, _ = place_tracks([song(), song(tempo_bpm)])
    assert (first.fade_out_s == 0.0) is joins
    assert first.end_s == (28.0 if joins else 27.5)


@pytest.mark.parametrize(("duration_s", "joins"), [(28.0, True), (27.999, False)])
def test_a_join_needs_a_bar_of_music(duration_s: float, joins: bool) -> None:
    """A song that ends less than a bar (2 s) after its phrase at 26 s cannot overlap."""
    first, _ = place_tracks([song(duration_s=duration_s), song()])
    assert (first.fade_out_s == 0.0) is joins


def pair() -> tuple[list[CueTimeline], list[MixPlace]]:
    """Return two songs at a beat a second, and places that cut beats off both.

    First: beats at 0 to 9 s, a phrase from 2 to 6 s; kept from 1 to 6 s. Second: beats at 0.5
    to 9.5 s, phrases of four counts from 1.5, 5.5 and (two counts) 7.5 s; kept from 1.5 to 7.5.
    """
    first = song(60.0, 2, (4,), 10.0)
    first = replace(
        first,
        beats_inferred=tuple(n == 4 for n in range(10)),
        changes=(change(2.0, 6.0, 2, 4),),
        cues=(call(1.0, 1, -1), call(2.0, 2, 0)),
        notes=("one",),
        speed=1.02,
    )
    second = song(60.0, 1, (4, 2, 2), 10.5, 0.5)
    second = replace(
        second,
        beats_inferred=tuple(n == 2 for n in range(10)),
        changes=(change(1.5, 5.5, 1, 4), change(5.5, 7.5, 5, 2, 1)),
        cues=(call(0.5, 0, -1), call(2.5, 2, 0)),
        notes=("two",),
    )
    places = [MixPlace(1.0, 8.0, 0.0, 5.0), MixPlace(1.5, 9.0, 5.0, 11.0)]
    return [first, second], places


def test_beats_follow_each_other() -> None:
    """A beat a second from the first kept one of the first song to the last of the second.

    First: beats 1 to 5, at 1 to 5 s, a second earlier. Second: 1.5 to 6.5 s, 3.5 s later.
    """
    merged = merge_timelines("class", *pair())
    assert merged.beats_s == tuple(float(n) for n in range(11))
    assert [n for n, one in enumerate(merged.beats_inferred) if one] == [3, 6]
    assert len(merged.beats_inferred) == 11


def test_changes_calls_and_phrases_move_with_their_song() -> None:
    """Times move by the shift (-1 s, 3.5 s), beats by what was dropped and came before.

    Beat 2 of the first is beat 1 of the class; beat 1 of the second is its beat 5.
    """
    merged = merge_timelines("class", *pair())
    assert [(c.time_s, c.end_s, c.beat, c.phrase) for c in merged.changes] == [
        (1.0, 5.0, 1, 0), (5.0, 9.0, 5, 1), (9.0, 11.0, 9, 2),
    ]  # fmt: skip
    assert [(c.time_s, c.end_s, c.beat, c.phrase, c.change) for c in merged.cues] == [
        (0.0, 1.0, 0, -1, 0), (1.0, 2.0, 1, 0, 0), (4.0, 5.0, 4, -1, 1), (6.0, 7.0, 6, 1, 1),
    ]  # fmt: skip
    assert [(p.start_s, p.end_s, p.start_beat, p.counts) for p in merged.phrases] == [
        (1.0, 5.0, 1, 4), (5.0, 9.0, 5, 4), (9.0, 11.0, 9, 2),
    ]  # fmt: skip


def test_the_class_has_a_head_of_its_own() -> None:
    """Title, no file, all notes, no change of speed, and the end of the last song."""
    merged = merge_timelines("class", *pair())
    assert (merged.title, merged.file, merged.notes) == ("class", "", ("one", "two"))
    assert (merged.speed, merged.duration_s, merged.tempo_bpm) == (1.0, 11.0, 60.0)


def test_a_phrase_is_cut_where_its_song_is_left() -> None:
    """Left at 5 s, a phrase of four counts from 2 s has three; one that starts there is gone."""
    one = song(60.0, 2, (4, 4), 12.0)
    merged = merge_timelines("class", [one], [MixPlace(0.0, 5.0, 0.0, 5.0)])
    assert [(p.start_s, p.end_s, p.start_beat, p.counts) for p in merged.phrases] == [
        (2.0, 5.0, 2, 3)
    ]
    left = merge_timelines("class", [one], [MixPlace(0.0, 6.0, 0.0, 6.0)])
    assert [p.counts for p in left.phrases] == [4]


def test_a_song_that_is_heard_no_longer_than_its_sound_has_no_beats_in_the_gap() -> None:
    """Its beats end with what is kept (6 s), not where the next song starts (8 s)."""
    one = song(60.0, 2, (4,), 12.0)
    merged = merge_timelines("class", [one], [MixPlace(1.0, 6.0, 0.0, 7.0)])
    assert merged.beats_s == (0.0, 1.0, 2.0, 3.0, 4.0)


@pytest.mark.parametrize(
    ("off_s", "kept"), [(-2e-6, [2, 3]), (-5e-7, [1, 2, 3]), (5e-7, [1, 2, 3]), (2e-6, [1, 2, 3])]
)
def test_rounding_drops_no_beat_at_the_start(off_s: float, kept: list[int]) -> None:
    """A beat a millionth of a second before the start of a place still belongs to it."""
    one = replace(song(60.0, 1, (3,), 6.0), beats_s=(0.0, 1.0 + off_s, 2.0, 3.0))
    merged = merge_timelines("class", [one], [MixPlace(1.0, 3.5, 1.0, 3.5)])
    assert [round(time_s) for time_s in merged.beats_s] == kept


@pytest.mark.parametrize(
    ("off_s", "last"), [(-2e-6, 3), (-5e-7, 2), (0.0, 2), (5e-7, 2), (2e-6, 2)]
)
def test_rounding_doubles_no_beat_at_the_end(off_s: float, last: int) -> None:
    """A beat a millionth of a second before the next song is that song's own count 1."""
    one = replace(song(60.0, 1, (3,), 6.0), beats_s=(0.0, 1.0, 2.0, 3.0 + off_s))
    merged = merge_timelines("class", [one], [MixPlace(0.0, 4.0, 0.0, 3.0)])
    assert round(merged.beats_s[-1]) == last


def test_a_song_without_beats_in_its_place_adds_none() -> None:
    """A place after the last beat has no beats and no phrases; the song before it stays."""
    songs, places = pair()
    away = MixPlace(20.0, 22.0, 5.0, 7.0)
    merged = merge_timelines("class", songs, [places[0], away])
    assert merged.beats_s == (0.0, 1.0, 2.0, 3.0, 4.0)
    assert [p.counts for p in merged.phrases] == [4]
