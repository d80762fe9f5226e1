"""Where the calls of single changes go, against the counts of common practice (no source)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from cue_cases import WORDS, heard, planned

from aquatempo.cues import timeline
from aquatempo.records.cues import Cue, CueKind, CueOptions, CueTimeline
from aquatempo.records.plan import Block, Stint

TWO = (("phrase", 32), ("phrase", 32))
KNOWN = CueOptions(known_moves=("jog", "jack", "ski", "kick"))


def made(
    spans: Sequence[tuple[str, int]],
    fillings: Sequence[Sequence[Block]],
    options: CueOptions = KNOWN,
    tempo_bpm: float = 120.0,
) -> CueTimeline:
    """Return the timeline of a small track."""
    analysis = heard(spans, tempo_bpm)
    return timeline(analysis, planned(analysis, fillings), WORDS, options)


def calls(done: CueTimeline, change: int) -> list[Cue]:
    """Return the calls that lead to a change, count 1 left out."""
    return [c for c in done.cues if c.change == change and c.kind is not CueKind.COUNT_ONE]


def before(done: CueTimeline, change: int) -> list[tuple[int, str]]:
    """Return (counts before the change, words) of its calls."""
    beat = done.changes[change].beat
    return [(beat - cue.beat, cue.words) for cue in calls(done, change)]


def test_short_form_counts_four_three_two_and_the_name() -> None:
    """A known move: warn from 8 before to count 4, then four, three, two, NAME on 5 to 8."""
    done = made(TWO, [[Block(32, "jog")], [Block(32, "jack")]])
    assert before(done, 1) == [(8, "next jack"), (4, "four"), (3, "three"), (2, "two"), (1, "jack")]
    assert [cue.count for cue in calls(done, 1)] == [1, 5, 6, 7, 8]
    warn = calls(done, 1)[0]
    assert warn.end_s <= done.beats_s[28]  # it ends by count 4
    assert not done.changes[1].stretched


def test_stretched_form_counts_movements_in_water_tempo() -> None:
    """A new move: warn from 16 before, preview by sign, words on 1, 3, 5, 7 of the last eight."""
    options = CueOptions(known_moves=("jog",))
    done = made(TWO, [[Block(32, "jog")], [Block(32, "jack")]], options)
    assert before(done, 1) == [
        (16, "next jack"),
        (12, "watch"),
        (8, "four"),
        (6, "three"),
        (4, "two"),
        (2, "jack"),
    ]
    assert [cue.count for cue in calls(done, 1)][2:] == [1, 3, 5, 7]
    assert done.changes[1].stretched
    assert done.changes[1].reason == "new base move"
    assert done.changes[1].notice_counts == 16


@pytest.mark.parametrize(
    ("first", "second", "reason"),
    [
        (Block(32, "jog", travel="forward"), Block(32, "jog", travel="back"), "reversal of travel"),
        (
            Block(32, "jog", travel="sideways", lead="right"),
            Block(32, "jog", travel="sideways", lead="left"),
            "reversal of travel",
        ),
        (Block(32, "jog"), Block(32, "jog", level="II"), "change of impact level"),
    ],
)
def test_inertia_and_level_ask_for_the_long_lead(first: Block, second: Block, reason: str) -> None:
    """Reversals of travel and changes of level get the stretched form, without a preview."""
    done = made(TWO, [[first], [second]])
    assert done.changes[1].reason == reason
    assert [cue.kind for cue in calls(done, 1)] == [
        CueKind.WARN,
        *[CueKind.COUNTDOWN] * 3,
        CueKind.NAME,
    ]
    assert done.changes[1].notice_counts == 16


def test_the_reason_of_a_change_of_turn_is_told_where_the_turn_changes() -> None:
    """Work or rest is a reason where it begins, also at the start, and not while it goes on."""
    work, rest = Stint(True, 1, 1, 30.0), Stint(False, 1, 1, 15.0)
    blocks = [Block(16, move, stint=turn) for turn in (work, rest) for move in ("jack", "jog")]
    done = made(TWO, [blocks[:2], blocks[2:]])
    assert [change.reason for change in done.changes] == ["work begins", "", "rest begins", ""]
    plain = made(TWO, [[replace(block, stint=None) for block in blocks[2:]], blocks[:2]])
    assert [change.reason for change in plain.changes] == ["", "", "work begins", ""]


def test_a_long_name_starts_the_countdown_earlier() -> None:
    """At 130 bpm "cross-country ski" takes 1 s, 3 beats: all calls move up by 2 counts."""
    words = [replace(word, short="") for word in WORDS]
    analysis = heard(TWO, 130.0)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "ski")]])
    done = timeline(analysis, plan, words, KNOWN)
    assert [count for count, _ in before(done, 1)] == [10, 6, 5, 4, 3]


def test_a_short_name_keeps_the_countdown_in_place() -> None:
    """Where a move has a short name, the warn says it in full and the call in short."""
    done = made(TWO, [[Block(32, "jog")], [Block(32, "ski")]])
    assert before(done, 1)[0] == (8, "next cross-country ski")
    assert before(done, 1)[-1] == (1, "ski")


def test_details_are_said_in_order_and_dropped_from_the_end() -> None:
    """What, side, direction, tempo option, style; at a fast tempo only the first are left."""
    second = Block(32, "kick", (("arms", "press"),), pattern="4", lead="right", travel="forward")
    slow = made(TWO, [[Block(32, "jog")], [second]], CueOptions(
        known_moves=("jog", "kick"), syllables_per_second=9.0), 80.0)  # fmt: skip
    full = "next front kick, right leg, travel forward, half water tempo, press down"
    assert before(slow, 1)[0] == (8, full)
    fast = made(TWO, [[Block(32, "jog")], [second]], tempo_bpm=150.0)
    assert before(fast, 1)[0] == (9, "next front kick, right leg")  # the name takes 2 counts


def test_words_are_dropped_before_the_name() -> None:
    """In blocks of 4 counts the warn goes, then "four"; the name stays."""
    done = made(
        [("phrase", 8)], [[Block(4, "jog"), Block(2, "jack"), Block(2, "jog")]], tempo_bpm=120.0
    )
    assert before(done, 1) == [(3, "three"), (2, "two"), (1, "jack")]
    assert before(done, 2) == [(1, "jog")]


def test_a_side_is_mirrored() -> None:
    """A change of side names the class's side and shows the instructor's beside it."""
    done = made(TWO, [[Block(32, "kick", lead="left")], [Block(32, "kick", lead="right")]])
    assert (done.changes[1].lead, done.changes[1].mirrored_lead) == ("right", "left")
    warn, name = calls(done, 1)[0], calls(done, 1)[-1]
    assert (warn.words, name.words) == ("next right leg", "right")
    assert name.sign == "point to the class's right (you show your left)"


def test_a_bridge_is_announced_with_what_follows() -> None:
    """The warn of a bridge says its counts, the holding move and the move after it."""
    spans = [("phrase", 32), ("bridge", 8), ("phrase", 32)]
    done = made(spans, [[Block(32, "jack")], [Block(8, "jog")], [Block(32, "ski")]], tempo_bpm=90.0)
    assert before(done, 1)[0] == (8, "bridge, eight counts, jog, then cross-country ski")
    assert [words for _, words in before(done, 2)][-1] == "ski"


def test_a_bridge_that_keeps_the_move_is_still_announced() -> None:
    """The class is told of a bridge even where the move stays, and of the count 1 after it."""
    spans = [("phrase", 32), ("bridge", 4), ("phrase", 32)]
    done = made(spans, [[Block(32, "jack")], [Block(4, "jack")], [Block(32, "jack")]])
    assert [words for _, words in before(done, 1)][::4] == ["bridge, four counts, stay", "stay"]
    assert [(one.beat, one.counts) for one in done.changes] == [(0, 32), (32, 4), (36, 32)]
    assert before(done, 2) == [(3, "three"), (2, "two"), (1, "jack")]


def test_a_breakdown_is_announced_and_kept_free_of_calls() -> None:
    """What comes after a breakdown is called ahead of it, and the notes say so."""
    spans = [("phrase", 32), ("break", 16), ("phrase", 32)]
    fillings = [[Block(32, "jack")], [Block(16, "jog")], [Block(32, "kick")]]
    done = made(spans, fillings, tempo_bpm=100.0)
    assert before(done, 1)[0][1] == "break, sixteen counts, jog, then front kick"
    assert calls(done, 2) == []
    assert "phrase 3: front kick was announced ahead and is not called again" in done.notes


def test_words_on_a_block_of_a_breakdown_open_it() -> None:
    """Calls in a breakdown are made where the plan's block there carries words."""
    spans = [("phrase", 32), ("break", 16), ("phrase", 32)]
    fillings = [[Block(32, "jack")], [Block(16, "jog", words="float")], [Block(32, "kick")]]
    done = made(spans, fillings)
    assert before(done, 1)[0] == (8, "float")
    assert before(done, 2)[-1] == (1, "front kick") or before(done, 2)[-1] == (2, "front kick")


def test_the_first_move_without_intro_is_announced_before_the_music() -> None:
    """Where the track starts with a move there is no beat to call it on, and a note says so."""
    done = made(TWO, [[Block(32, "jack")], [Block(32, "jack")]])
    assert done.notes == ("before the music starts, announce: jack",)
    assert [cue.kind for cue in done.cues] == [CueKind.COUNT_ONE]


def test_the_first_move_is_called_over_an_empty_intro() -> None:
    """An intro without blocks leaves its counts to the calls of the first move."""
    done = made([("intro", 8), ("phrase", 32)], [[], [Block(32, "jack")]])
    assert before(done, 0)[0] == (8, "next jack")
    assert done.notes == ()


def test_the_silent_version_has_all_signs_and_no_words() -> None:
    """Without sound the same calls are signs: fingers for the numbers, each for its whole slot."""
    options = CueOptions(silent=True, known_moves=KNOWN.known_moves)
    done = made(TWO, [[Block(32, "jog")], [Block(32, "jack")]], options)
    assert {cue.words for cue in done.cues} == {""}
    assert [cue.sign for cue in calls(done, 1)] == [
        "hand up; arms apart",
        "4 fingers",
        "3 fingers",
        "2 fingers",
        "arms apart",
    ]
    assert [cue.end_s for cue in calls(done, 1)] == list(done.beats_s[28:33])


def test_slow_speech_leaves_the_fingers() -> None:
    """A number that takes longer than its beat is not spoken, only shown."""
    options = CueOptions(known_moves=KNOWN.known_moves, syllables_per_second=2.0)
    done = made(TWO, [[Block(32, "jog")], [Block(32, "jack")]], options, tempo_bpm=140.0)
    counted = [cue for cue in calls(done, 1) if cue.kind is CueKind.COUNTDOWN]
    assert (counted[0].words, counted[0].sign) == ("", "4 fingers")


def test_a_planned_speed_moves_the_beats() -> None:
    """At 1.04 times the tempo all times are divided by 1.04 and the tempo multiplied."""
    analysis = heard(TWO, 125.0)
    plan = planned(analysis, [[Block(32, "jog")], [Block(32, "jack")]], speed=1.04)
    done = timeline(analysis, plan, WORDS, KNOWN)
    assert done.tempo_bpm == pytest.approx(130.0, abs=1e-9)
    assert done.changes[1].time_s == pytest.approx(analysis.beats_s[32] / 1.04, abs=1e-9)


def test_counts_start_again_after_an_odd_bridge() -> None:
    """After a bridge of 6 counts the next phrase's count 1 is count 1."""
    spans = [("phrase", 32), ("bridge", 6), ("phrase", 32)]
    done = made(spans, [[Block(32, "jack")], [Block(6, "jog")], [Block(32, "ski")]])
    ones = [cue for cue in done.cues if cue.kind is CueKind.COUNT_ONE]
    assert [(cue.beat, cue.count) for cue in ones] == [(0, 1), (32, 1), (38, 1)]
    assert [cue.count for cue in calls(done, 2)][-4:] == [3, 4, 5, 6]


def test_the_end_of_a_pyramid_may_leave_the_eights() -> None:
    """16-8-4-2 counts a side: nothing is noted; the same on blocks of 12 counts is."""
    blocks = [
        Block(counts, "kick", lead=("right", "left")[place % 2])
        for place, counts in enumerate([16, 16, 8, 8, 4, 4, 2, 2, 4])
    ]
    spans = [("intro", 16), ("phrase", 32), ("phrase", 32)]
    done = made(spans, [[], blocks[:2], blocks[2:]])
    assert done.notes == ()
    assert [before(done, change)[-1] for change in (6, 7, 8)] == [
        (1, "right"),
        (1, "left"),
        (1, "right"),
    ]
    odd = [Block(12, "kick", lead="right"), Block(20, "kick", lead="left")]
    assert made(spans[:2], [[], odd]).notes == (
        "phrase 2: kick starts on count 13; a change inside a phrase starts an eight",
    )


def test_a_new_move_inside_a_phrase_is_noted() -> None:
    """A move new to the class starts on count 1 of a phrase; elsewhere it is kept and noted."""
    done = made(
        [("intro", 16), ("phrase", 32)],
        [[], [Block(16, "jack"), Block(16, "ski")]],
        CueOptions(known_moves=("jack",)),
    )
    assert done.notes[0] == (
        "phrase 2: ski starts on count 17; a move new to the class starts on count 1 of a phrase"
    )
