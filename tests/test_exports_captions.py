"""Captions, read back by webvtt-py, a parser of W3C WebVTT that we did not write."""

from __future__ import annotations

import io

import webvtt as reader
from cue_cases import WORDS, heard, planned
from cue_drawing import Case, cases, of
from hypothesis import given, settings

from aquatempo.cues import timeline
from aquatempo.exports.captions import webvtt
from aquatempo.records.cues import CallWords, CueOptions, CueTimeline
from aquatempo.records.plan import Block


def parsed(made: CueTimeline) -> list[reader.Caption]:
    """Return the captions as the independent parser reads them."""
    captions: list[reader.Caption] = reader.from_buffer(io.StringIO(webvtt(made))).captions
    return captions


def milliseconds(stamp: str) -> int:
    """Return a time stamp as milliseconds."""
    hours, minutes, seconds = stamp.split(":")
    return round((int(hours) * 60 + int(minutes)) * 60_000 + float(seconds) * 1000)


@settings(max_examples=60, deadline=None)
@given(cases())
def test_captions_parse_back_to_the_same_millisecond(case: Case) -> None:
    """Each call is a caption from its millisecond to that of the next, none overlapping."""
    made = of(case)
    captions = parsed(made)
    starts = [round(cue.time_s * 1000) for cue in made.cues]
    ends = [*starts[1:], round(made.changes[-1].end_s * 1000)]
    assert [milliseconds(caption.start) for caption in captions] == starts
    assert [milliseconds(caption.end) for caption in captions] == ends
    for cue, caption in zip(made.cues, captions, strict=True):
        assert str(caption.identifier).endswith(cue.kind)
        if cue.words:
            assert caption.lines[0] == cue.words


def test_words_signs_and_the_move_are_shown() -> None:
    """A call shows its words and its sign in brackets; from count 1 on, the move and the side."""
    analysis = heard((("intro", 16), ("phrase", 32)))
    plan = planned(analysis, [[], [Block(32, "jack", (("arms", "press"),), lead="left")]])
    captions = parsed(timeline(analysis, plan, WORDS, CueOptions(known_moves=("jack",))))
    assert captions[1].text == "four\n[4 fingers]"
    assert captions[-1].text == "Jack, left (you right), press, water tempo"


def test_a_tempo_option_is_said_once() -> None:
    """A block whose variation is a tempo option names that option once, not twice."""
    analysis = heard((("intro", 16), ("phrase", 32)))
    block = Block(32, "jack", (("tempo", "land"),), pattern="1")
    words = (*WORDS, CallWords("land", "Land tempo", "land tempo", "", factor="tempo"))
    told = timeline(analysis, planned(analysis, [[], [block]]), words, CueOptions())
    assert parsed(told)[-1].text == "Jack, land tempo"


def test_marks_that_are_markup_are_escaped() -> None:
    """Angle brackets, ampersands, arrows and line breaks in names and titles break nothing."""
    analysis = heard((("intro", 16), ("phrase", 32)), tempo_bpm=80.0)
    plan = planned(analysis, [[], [Block(32, "jack")]])
    options = CueOptions(known_moves=("jack",), own_names=(("jack", "a <b> & -->\n\nc"),))
    made = timeline(analysis, plan, WORDS, options)
    text = webvtt(made)
    assert len(parsed(made)) == len(made.cues)
    assert "a &lt;b&gt; &amp; --&gt; c" in text
    assert text.count("-->") == len(made.cues)


def test_long_tracks_have_hours() -> None:
    """A call after an hour has its hour in the stamp."""
    analysis = heard((("intro", 16), ("phrase", 32)), first_beat_s=3600.0)
    plan = planned(analysis, [[], [Block(32, "jack")]])
    assert parsed(timeline(analysis, plan, WORDS))[0].start.startswith("01:00:00.")
