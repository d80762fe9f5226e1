"""The short form of a plan: each word of its lines, written and read, and what is no word."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.documents.plan import any_plan_from_text, plan_from_text, plan_text
from aquatempo.documents.short_form import SHORT_MARK, is_short, plan_from_short, short_text
from aquatempo.errors import TextFileError
from aquatempo.records.brief import Brief
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase, PlannedTrack, Stint
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

HEAD = f'{SHORT_MARK}\n[brief]\ntitle = "Tuesday group"\nminutes = 45\n====\n'
JACK = Block(32, "jack")


def read(*lines: str, head: str = HEAD) -> ClassPlan:
    """Return the plan of some lines below a head."""
    return plan_from_short("a.plan", head + "\n".join(lines) + "\n")


def phrases(*lines: str) -> tuple[PlannedPhrase, ...]:
    """Return the phrases of one song."""
    return read('main: "Odd Lane", 130.0 bpm', *(f"  {line}" for line in lines)).tracks[0].phrases


def block(text: str) -> Block:
    """Return the only block of a phrase of 32 counts."""
    (one,) = phrases(f"32 low: {text}")[0].blocks
    return one


def lines_of(track: PlannedTrack, brief: Brief | None = None) -> list[str]:
    """Return the lines of a song in the short form."""
    return short_text(ClassPlan(brief or Brief(), (track,))).split("====\n")[1].splitlines()


def song(*found: PlannedPhrase) -> PlannedTrack:
    """Return a song of the main part."""
    return PlannedTrack("Odd Lane", "", "main", 130.0, found)


def phrase(start: int, *blocks: Block, counts: int = 32) -> PlannedPhrase:
    """Return a whole phrase of low energy."""
    return PlannedPhrase(start, counts, PhraseKind.PHRASE, EnergyLevel.LOW, blocks)


def usual(move: str, **others: object) -> Block:
    """Return a block as the catalogue has it where nothing is said, with some changes."""
    return replace(block(move), **others)  # type: ignore[arg-type]


FULL = replace(
    song(phrase(16, usual("jack"))),
    file="odd, lane.ogg",
    content_key="k1",
    speed=1.02,
    speed_reason='below "132"',
    rights="licence 7",
    locked=True,
)


def test_a_song_is_a_line() -> None:
    """What is as usual is left out; the rest follows in order, each with its word."""
    assert lines_of(song(phrase(0, usual("jack"))))[0] == 'main: "Odd Lane", 130.0 bpm'
    assert lines_of(FULL)[0] == (
        'main: "Odd Lane", 130.0 bpm, file "odd, lane.ogg", key "k1", from 16, speed 1.02, '
        'because "below \\"132\\"", rights "licence 7", locked'
    )


@pytest.mark.parametrize(
    ("more", "name", "value"),
    [
        ("", "speed", 1.0),
        ("", "file", ""),
        ("", "rights", "rights not checked"),
        ("", "locked", False),
        (', file "a.ogg"', "file", "a.ogg"),
        (', key "k"', "content_key", "k"),
        (", speed 1.5", "speed", 1.5),
        (", speed 0.5", "speed", 0.5),
        (", speed 2", "speed", 2.0),
        (', because "x"', "speed_reason", "x"),
        (', rights "mine"', "rights", "mine"),
        (", locked", "locked", True),
        (', locked, file "a, b.ogg"', "file", "a, b.ogg"),
    ],
)
def test_each_word_of_a_song_is_read(more: str, name: str, value: object) -> None:
    """A word and its value, or a word alone; what is not said is as usual."""
    (track,) = read(f'main: "Odd Lane", 130.5 bpm{more}', "  32 low: jack").tracks
    assert getattr(track, name) == value
    assert (track.title, track.part, track.tempo_bpm) == ("Odd Lane", "main", 130.5)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('main "Odd", 130 bpm', "needs a part (warm-up, main, intervals, cool-down, stretch)"),
        ('middle: "Odd", 130 bpm', "needs a part"),
        ('main: "Odd"', "a track without its tempo: needs it, as 132 bpm"),
        ('main: "Odd", 130', "'' in a track: known are bpm, file, key, from, speed, because"),
        ('main: "Odd", 130 bpm, pace 3', "'pace' in a track: known are bpm, file, key"),
        ('main: "Odd", 130 bpm quick', "'quick': needs a word and its value, as speed 1.02"),
        ('main: "Odd", 19.9 bpm', "bpm 19.9: needs 20 to 400"),
        ('main: "Odd", 400.5 bpm', "bpm 400.5: needs 20 to 400"),
        ('main: "Odd", 1.2.3 bpm', "bpm '1.2.3': needs a number"),
        ('main: "Odd", 130 bpm, speed 2.1', "speed 2.1: needs 0.5 to 2"),
        ('main: "Odd", 130 bpm, speed 0.4', "speed 0.4: needs 0.5 to 2"),
        ('main: "Odd", 130 bpm, speed "fast"', "speed 'fast': needs a number"),
        ('main: "Odd", 130 bpm, from -1', "from -1: needs 0 to 100000"),
    ],
)
def test_a_song_that_is_not_understood_is_told(line: str, told: str) -> None:
    """The line of the song, what was seen and what is needed."""
    with pytest.raises(TextFileError) as caught:
        read(line, "  32 low: jack")
    assert caught.value.line == 6
    assert told in caught.value.problem


def test_phrases_follow_each_other_from_where_the_song_begins() -> None:
    """From beat 16: 32, then twice 8, then 32 counts."""
    (track,) = read('main: "Odd", 130 bpm, from 16', "  32 low: jack", "  2x 8 high:",
                    "  32 low: jack").tracks  # fmt: skip
    assert [(one.start_beat, one.counts) for one in track.phrases] == [
        (16, 32), (48, 8), (56, 8), (64, 32),
    ]  # fmt: skip
    assert track.phrases[0].blocks == track.phrases[3].blocks


@pytest.mark.parametrize(
    ("line", "name", "value"),
    [
        ("32 low: jack", "kind", PhraseKind.PHRASE),
        ("32 low bridge: jack", "kind", PhraseKind.BRIDGE),
        ("32 medium: jack", "energy_level", EnergyLevel.MEDIUM),
        ("32 high: jack", "energy_level", EnergyLevel.HIGH),
        ('32 low "verse: 1": jack', "section", "verse: 1"),
        ("32 low: jack", "section", ""),
        ("32 low locked: jack", "locked", True),
        ("32 low: jack", "locked", False),
        ('32 low outro "end" locked: jack', "kind", PhraseKind.OUTRO),
        ("32 low:", "blocks", ()),
    ],
)
def test_each_word_of_a_phrase_is_read(line: str, name: str, value: object) -> None:
    """Energy, kind, what it is called, whether it is kept."""
    assert getattr(phrases(line)[0], name) == value


def test_phrases_that_are_alike_are_counted() -> None:
    """Twice the same is one line; what differs in any word is another."""
    one, other = usual("jack"), usual("jog", lead="right")
    chorus = replace(phrase(64, one), section="chorus", energy_level=EnergyLevel.HIGH)
    bridge = replace(phrase(96, replace(other, counts=8), counts=8), kind=PhraseKind.BRIDGE)
    kept = replace(phrase(104, one), locked=True)
    told = lines_of(song(phrase(0, one), phrase(32, one), chorus, bridge, kept))
    assert told[1:] == [
        "  2x 32 low: jack", '  32 high "chorus": jack', "  8 low bridge: jog R",
        "  32 low locked: jack",
    ]  # fmt: skip


def test_blocks_have_their_counts_where_there_are_several() -> None:
    """A block alone has those of its phrase."""
    one, two = usual("jack", counts=16), usual("jog", counts=16, lead="left")
    assert lines_of(song(phrase(0, one, two)))[1] == "  32 low: 16 jack; 16 jog L"
    assert [b.counts for b in phrases("32 low: 24 jack; 8 jog")[0].blocks] == [24, 8]
    assert phrases("32 low: jack")[0].blocks[0].counts == 32
    assert phrases("16 low: 16 jack")[0].blocks[0].counts == 16


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("jack", "move", "jack"),
        ("Jack", "move", "jack"),
        ("jack:4", "pattern", "4"),
        ("jog R", "lead", "right"),
        ("jog L", "lead", "left"),
        ("jog", "lead", ""),
        ("jack level III", "level", "III"),
        ("jack travel in place", "travel", "in place"),
        ("jack travel forward", "travel", "forward"),
        ('tuck show "arms only"', "show", "arms only"),
        ('jack say "tall; now"', "words", "tall; now"),
        ("jack held 20.5 s", "held_s", 20.5),
        ("jack held 600 s", "held_s", 600.0),
        ("jack work 3 of 16, 20.3 s", "stint", Stint(True, 3, 16, 20.3)),
        ("jack rest 3 of 16", "stint", Stint(False, 3, 16, 0.0)),
        ("jack locked", "locked", True),
        ("jack", "locked", False),
        ('jog R level III say "x" locked', "locked", True),
        ("jack+arms=press", "variation", (("arms", "press"),)),
    ],
)
def test_each_word_of_a_block_is_read_and_written(text: str, name: str, value: object) -> None:
    """Both ways: a block as it is read says the same in the line that is written."""
    found = block(text)
    assert getattr(found, name) == value
    written = lines_of(song(phrase(0, found)))[1].removeprefix("  32 low: ")
    assert block(written) == found
    if text not in ("Jack", "jack travel in place", "jack rest 3 of 16", "jack held 600 s"):
        assert written == text


def test_words_are_written_in_one_order() -> None:
    """Variation, pattern, side, level, travel, show, words, hold, turn, lock."""
    text = (
        'jog+arms=press:4 L level III travel forward show "full" say "now" held 2.0 s '
        "work 1 of 2, 20 s locked"
    )
    assert lines_of(song(phrase(0, block(text))))[1] == f"  32 low: {text}"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("32: jack", "'32: jack': needs counts, energy and blocks, as 32 high: jack"),
        ("low: jack", "needs counts, energy and blocks"),
        ("32 low: jakc", "no move named 'jakc' (did you mean 'jack'?)"),
        ("32 low: jack quickly", "jack quickly"),
        ("32 low: jack R quickly", "'quickly' in a block: not understood"),
        ("32 low: jack level 9", "level '9': needs one of "),
        ("32 low: 16 jack; 8 jog", "blocks of 24 counts in a phrase of 32"),
        ("32 low: 32 jack; 8 jog", "blocks of 40 counts in a phrase of 32"),
        ("0 low:", "counts 0: needs 1 to 4096"),
        ("4097 low:", "counts 4097: needs 1 to 4096"),
        ("0x 32 low:", "times 0: needs 1 to 4096"),
        ("4096x 4096 low:", "the last beat 1.67772e+07: needs 1 to 100000"),
        ("9999999999999999999x 8 low:", "needs counts, energy and blocks"),
        ("32 low: jack held 601 s", "held 601 s: needs 0 to 600 s"),
        ("32 low: jack held 1.2.3 s", "held '1.2.3': needs a number"),
    ],
)
def test_a_phrase_that_is_not_understood_is_told(line: str, told: str) -> None:
    """The line of the phrase, what was seen and what is needed."""
    with pytest.raises(TextFileError) as caught:
        read('main: "Odd Lane", 130.0 bpm', "  32 low: jack", f"  {line}")
    assert caught.value.line == 8
    assert told in caught.value.problem


def test_the_largest_numbers_that_are_read() -> None:
    """A phrase of 4096 counts, 24 times: 98,304 beats."""
    found = phrases("24x 4096 low:")
    assert (len(found), found[-1].start_beat) == (24, 23 * 4096)


def test_comments_and_empty_lines_are_passed_over() -> None:
    """Between songs and phrases; a tab is an indent too."""
    plan = read("# mine", 'main: "A", 130 bpm', "", "\t32 low: jack", "  # slowly",
                'main: "B", 130 bpm', "  32 low: jack")  # fmt: skip
    assert [(track.title, len(track.phrases)) for track in plan.tracks] == [("A", 1), ("B", 1)]


@pytest.mark.parametrize(
    ("lines", "line", "told"),
    [
        (["  32 low: jack"], 6, "a phrase before any track"),
        (['main: "A", 130 bpm'], 6, "'A' has no phrases: needs at least one line below it"),
        (['main: "A", 130 bpm', "# x", 'main: "B", 130 bpm', "  32 low: jack"], 6, "'A' has no"),
        ([], 5, "no track below: a plan needs at least one"),
    ],
)
def test_songs_and_phrases_belong_together(lines: list[str], line: int, told: str) -> None:
    """Each phrase has a song above it, each song a phrase below it, a plan a song."""
    with pytest.raises(TextFileError) as caught:
        read(*lines)
    assert caught.value.line == line
    assert told in caught.value.problem


def test_the_rule_parts_the_brief_from_the_songs() -> None:
    """Without it nothing tells where songs begin; slips above it have their line."""
    with pytest.raises(TextFileError, match="no line of ==== between the brief and the tracks"):
        plan_from_short("a.plan", f'{SHORT_MARK}\nmain: "A", 130 bpm\n')
    with pytest.raises(TextFileError, match=r"a\.plan, line 4: minutes 999") as caught:
        read('main: "A", 130 bpm', "  32 low: jack", head=HEAD.replace("45", "999"))
    assert caught.value.line == 4


def test_a_short_plan_is_known_by_its_first_line() -> None:
    """Blank lines before it do not matter; the mark further down does not make one."""
    assert is_short(f"\n  {SHORT_MARK}\n")
    assert not is_short(f"# a plan\n{SHORT_MARK}\n")
    text = HEAD + 'main: "A", 130 bpm\n  32 low: jack\n'
    assert any_plan_from_text("a.plan", text) == plan_from_short("a.plan", text)


def test_what_is_usual_depends_on_the_water() -> None:
    """In deep water a move has the level and the form that it has there."""
    deep = HEAD.replace("minutes = 45", 'minutes = 45\ndepth = "deep"')
    plan = read('main: "A", 130 bpm', "  32 low: jog", head=deep)
    assert plan.brief.depth is ClassDepth.DEEP
    assert plan.tracks[0].phrases[0].blocks[0].level == "III"
    assert "32 low: jog\n" in short_text(plan)


@pytest.mark.parametrize("mark", ["\u2028", "\u2029", "\x85", "\u00a0", "\x7f"])
def test_a_mark_that_some_take_for_the_end_of_a_line_is_part_of_a_text(mark: str) -> None:
    """Lines end where a line feed stands; a title may hold any other mark."""
    track = replace(song(phrase(0, usual("jack"))), title=f"a{mark}b")
    plan = ClassPlan(Brief(), (track,))
    assert plan_from_short("a.plan", short_text(plan)) == plan


@st.composite
def tracks(draw: st.DrawFn) -> PlannedTrack:
    """Draw a song with drawn words in its blocks."""
    words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=6)
    told = st.sampled_from(["jack", "jog R", "jog+arms=press L", "tuck", "jack:4 travel forward"])
    at, found = draw(st.integers(0, 99)), []
    for _ in range(draw(st.integers(1, 4))):
        counts = draw(st.sampled_from([8, 16, 32]))
        parts = draw(st.sampled_from([1, 2]))
        blocks = tuple(
            replace(
                block(draw(told)),
                counts=counts // parts,
                words=draw(words),
                held_s=draw(st.sampled_from([0.0, 2.5])),
            )
            for _ in range(parts)
        )
        kind, energy = draw(st.sampled_from(PhraseKind)), draw(st.sampled_from(EnergyLevel))
        locked = draw(st.booleans())
        found.append(PlannedPhrase(at, counts, kind, energy, blocks, draw(words), locked))
        at += counts
    return PlannedTrack(
        draw(words), draw(words), "main", draw(st.floats(20, 400)), tuple(found),
        draw(st.floats(0.5, 2)), draw(words), draw(words), draw(words) or "x",
        locked=draw(st.booleans()),
    )  # fmt: skip


@settings(max_examples=12, deadline=None)
@given(tracks())
def test_both_forms_say_the_same(track: PlannedTrack) -> None:
    """Any song reads back equal from the short form, and equal to that of the long one."""
    plan = ClassPlan(Brief(), (track,))
    again = plan_from_short("a.plan", short_text(plan))
    assert again == plan
    assert plan_from_text("a.toml", plan_text(again)) == plan
