"""What coordinators agreed, and what a class keeps of its range: messages whole (own values)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from review_making import Song, block_of, klass, read_songs

from aquatempo.moves import catalogue
from aquatempo.records.brief import HouseRules
from aquatempo.records.plan import Brief
from aquatempo.records.review import Fault, Severity
from aquatempo.review.agreed import agreed
from aquatempo.review.ranges import ranges
from aquatempo.review.spots import ReadPlan, read

JACK = block_of("jack")


def songs(rules: HouseRules, *named: tuple[str, str], used: int = 0) -> ReadPlan:
    """Return a class of songs by title and file; "Odd Lane" was used so many weeks ago."""
    reading = read_songs([Song("main", [JACK])] * len(named))
    tracks = tuple(
        replace(track, title=title, file=file)
        for track, (title, file) in zip(reading.plan.tracks, named, strict=True)
    )
    brief = Brief(rules=rules, songs_used=(("Odd Lane", used),) if used else ())
    return read(replace(reading.plan, brief=brief, tracks=tracks), catalogue())


def test_only_songs_with_a_file_have_to_be_approved() -> None:
    """Title, path or name of the file approve a song; a title alone is no song that is played."""
    rules = HouseRules(title="Lindenbad", songs=("Odd Lane", "b.ogg", "music/c.ogg"))
    found = list(
        agreed(
            songs(
                rules, ("Odd Lane", "x.ogg"), ("B", "music/b.ogg"), ("C", "music/c.ogg"),
                ("D", "music/d.ogg"), ("E", ""), ("", ""),
            )
        )
    )  # fmt: skip
    (one,) = found
    assert (one.fault, one.severity, one.track, one.phrase, one.block) == (
        Fault.RULES, Severity.WARNING, 4, 0, 0,
    )  # fmt: skip
    assert one.reason == "D is not among the approved songs"
    assert one.remedy == "take another song"
    assert one.source == "the rules of Lindenbad"


@pytest.mark.parametrize(
    ("used", "reason"),
    [
        (1, "Odd Lane was used 1 week ago: 2 have to lie between"),
        (2, "Odd Lane was used 2 weeks ago: 2 have to lie between"),
        (3, ""),
    ],
)
def test_a_song_rests_its_weeks(used: int, reason: str) -> None:
    """Up to two weeks ago is too soon, with or without a file; no rules ask nothing."""
    rules = HouseRules(songs_after=2)
    reading = songs(rules, ("", ""), ("Odd Lane", ""), ("F", "f.ogg"), used=used)
    found = list(agreed(reading))
    assert [(one.track, one.reason) for one in found] == ([(2, reason)] if reason else [])
    assert all(one.source == "the rules of the coordinator" for one in found)


def test_a_short_warm_up_is_told_for_the_whole_part() -> None:
    """One phrase of 15 s where 4 minutes are asked: the first song of the part, no phrase."""
    parts = [Song("main", [JACK]), Song("warm-up", [JACK]), Song("warm-up", [JACK])]
    brief = Brief(rules=HouseRules(warm_up_minutes=4))
    (one,) = agreed(read_songs(parts, brief))
    assert (one.track, one.phrase, one.block) == (2, 0, 0)
    assert one.reason == "the warm-up lasts 0.5 minutes, 4 are asked"
    assert one.remedy == "make it longer, or play another song there"


@pytest.mark.parametrize(
    ("kept", "severity"), [(0.80, None), (0.79, Severity.WARNING), (0.05, Severity.ERROR)]
)
def test_a_block_keeps_the_range_that_is_wanted(kept: float, severity: Severity | None) -> None:
    """Four fifths are wanted here: 0.8 will do, 0.79 is told, a twentieth is an error."""
    reading, known = klass([Song("main", [10.0, 11.0])], Brief(range_floor=0.8))
    second = reading.spots[1].form_key
    figures = {**known, second: replace(known[second], kept=kept)}
    found = [one for one in ranges(reading, figures) if one.fault is Fault.RANGE]
    assert [one.severity for one in found] == ([severity] if severity else [])
    assert all(f"keeps {round(100 * kept)}" in one.reason and one.phrase == 2 for one in found)
    assert [one for one in ranges(reading, {}) if one.fault is Fault.RANGE] == []
