"""A plan read in spite of its slips: each with its line, the rest as it is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from aquatempo.documents.plan import plan_from_text
from aquatempo.documents.plan_slips import ReadWithSlips, plan_with_slips, read_plan_with_slips
from aquatempo.errors import TextFileError

LONG = """\
format = "aquatempo/plan/1"
notes = ["one"]

[brief]
title = "Tuesday group"
minutes = 45

[[tracks]]
title = "First Lengths"
part = "warm-up"
tempo_bpm = 118.0

[[tracks.phrases]]
start_beat = 16
counts = 32
blocks = [
  { counts = 16, move = "jog" },
  { counts = 16, move = "jack" },
]

[[tracks.phrases]]
start_beat = 48
counts = 8
kind = "bridge"
blocks = [{ counts = 8, move = "easy-jog" }]

[[tracks]]
title = "Odd Lane"
part = "main"
tempo_bpm = 130.0

[[tracks.phrases]]
start_beat = 0
counts = 32
"""


def read(*changes: tuple[str, str], content: str = LONG) -> ReadWithSlips:
    """Return the plan with pieces of its text replaced, each once."""
    for seen, put in changes:
        assert seen in content
        content = content.replace(seen, put, 1)
    return plan_with_slips("a.toml", content)


def slips(found: ReadWithSlips) -> list[tuple[int | None, str]]:
    """Return line and problem of each slip."""
    return [(one.line, one.problem) for one in found.slips]


def test_a_plan_without_slips_is_read_as_ever() -> None:
    """Nothing is put aside where nothing is wrong."""
    found = read()
    assert found == ReadWithSlips(plan_from_text("a.toml", LONG), ())


def test_a_value_that_cannot_be_read_is_put_aside() -> None:
    """A song's speed of 9 is told; the song is played as recorded, all else stays."""
    found = read(("tempo_bpm = 118.0", "tempo_bpm = 118.0\nspeed = 9"))
    assert slips(found) == [(12, "speed 9: needs 0.5 to 2 times the tempo")]
    assert found.plan == plan_from_text("a.toml", LONG)
    assert found.unread == frozenset()


@pytest.mark.parametrize(
    ("seen", "put", "line", "told", "track"),
    [
        ("tempo_bpm = 118.0", "tempo_bpm = 1180", 11, "tempo_bpm 1180: needs 20 to 400 bpm", 0),
        ("tempo_bpm = 118.0\n", "\n", 8, "no tempo_bpm: needs tempo_bpm = 20 to 400 bpm", 0),
        ("tempo_bpm = 130.0\n", "\n", 27, "no tempo_bpm: needs tempo_bpm = 20 to 400 bpm", 1),
        ("tempo_bpm = 130.0\n", 'tempo_bpm = "x"\n', 30, "tempo_bpm 'x': needs 20 to 400 bpm", 1),
    ],
)
def test_a_tempo_that_is_no_tempo_is_120(
    seen: str, put: str, line: int, told: str, track: int
) -> None:
    """What has to be there and cannot be read has a stand-in, and is told once."""
    found = read((seen, put))
    assert found.plan is not None
    assert slips(found) == [(line, told)]
    assert found.plan.tracks[track].tempo_bpm == 120.0
    assert found.plan.tracks[1 - track].tempo_bpm != 120.0


def test_a_title_and_a_part_that_are_missing_have_stand_ins() -> None:
    """A song without a name is untitled, and of the main part; each is told."""
    found = read(('title = "First Lengths"\npart = "warm-up"\n', "\n\n"))
    assert found.plan is not None
    assert [problem.split(":")[0] for _, problem in slips(found)] == ["no title", "no part"]
    assert (found.plan.tracks[0].title, found.plan.tracks[0].part) == ("untitled", "main")
    assert found.plan.tracks[1].title == "Odd Lane"


def test_blocks_that_are_wrong_leave_their_phrase_unread() -> None:
    """A move of no known name: the phrase keeps its counts, its blocks are left out."""
    found = read(('move = "jack"', 'move = "jakc"'))
    assert [line for line, _ in slips(found)] == [18]
    assert found.plan is not None
    first, second = found.plan.tracks[0].phrases
    assert (first.counts, first.blocks) == (32, ())
    assert [block.move for block in second.blocks] == ["easy-jog"]
    assert found.unread == {(1, 1)}


def test_each_phrase_with_a_wrong_block_is_told_once() -> None:
    """Slips in two phrases are two, in the order of their lines, with numbers from 1."""
    found = read(
        ('move = "easy-jog"', 'move = "eazy-yog"'),
        ("counts = 16, move", "counts = 15, move"),
    )
    assert [line for line, _ in slips(found)] == [16, 25]
    assert "blocks of 31 counts in a phrase of 32" in slips(found)[0][1]
    assert found.unread == {(1, 1), (1, 2)}


def test_a_wrong_block_in_the_second_song_has_its_numbers() -> None:
    """Track 2, phrase 1."""
    more = '\nblocks = [{ counts = 32, move = "nothing" }]'
    found = read(("start_beat = 0\ncounts = 32", "start_beat = 0\ncounts = 32" + more))
    assert found.unread == {(2, 1)}


@pytest.mark.parametrize(
    ("seen", "put", "wanted"),
    [
        ("start_beat = 48", "start_beat = 50", 48),  # 16 + 32
        ("start_beat = 48", 'start_beat = "x"', 48),
        ("start_beat = 16", "start_beat = -3", 0),  # nothing before it
    ],
)
def test_a_phrase_starts_where_the_one_before_it_ends(seen: str, put: str, wanted: int) -> None:
    """A start that does not fit is told, and counted from the phrase before instead."""
    found = read((seen, put))
    assert found.plan is not None
    assert len(found.slips) >= 1
    starts = [phrase.start_beat for phrase in found.plan.tracks[0].phrases]
    assert wanted in starts
    assert starts[1] == starts[0] + 32


@pytest.mark.parametrize(
    ("seen", "put", "counts"),
    [
        ("counts = 32\nblocks", "counts = 0\nblocks", 32),  # 16 + 16 of its blocks
        ('counts = 8\nkind = "bridge"', 'counts = "eight"\nkind = "bridge"', 8),
        ("counts = 32\nblocks", "counts = 9999\nblocks", 32),
    ],
)
def test_counts_that_cannot_be_read_are_those_of_the_blocks(
    seen: str, put: str, counts: int
) -> None:
    """The blocks of a phrase add up to its counts, so they tell them."""
    found = read((seen, put))
    assert found.plan is not None
    assert len(found.slips) == 1
    assert counts in [phrase.counts for phrase in found.plan.tracks[0].phrases]
    assert found.plan == plan_from_text("a.toml", LONG)


@pytest.mark.parametrize("blocks", ["", 'blocks = [{ counts = "x", move = "jog" }]\n'])
def test_counts_without_blocks_that_tell_them_are_a_phrase(blocks: str) -> None:
    """Where no block can say how many, 32 counts are usual."""
    found = read(("start_beat = 0\ncounts = 32\n", f"start_beat = 0\ncounts = 7.5\n{blocks}"))
    assert found.plan is not None
    assert found.plan.tracks[1].phrases[0].counts == 32


def test_a_phrase_without_start_or_counts_gets_both() -> None:
    """An empty phrase is taken as 32 counts, from the beat on which the one before it ends."""
    found = read(("start_beat = 48\ncounts = 8\n", "\n\n"))
    assert found.plan is not None
    phrase = found.plan.tracks[0].phrases[1]
    assert phrase.start_beat == 48
    assert {problem.split(":")[0] for _, problem in slips(found)} >= {"no counts"}


def test_a_song_without_phrases_gets_one() -> None:
    """So that the rest of the song can be read; it is told at the song's line."""
    found = read(("\n[[tracks.phrases]]\nstart_beat = 0\ncounts = 32\n", "\n"))
    assert found.plan is not None
    assert slips(found) == [(27, "a track without [[tracks.phrases]]: needs at least one")]
    (phrase,) = found.plan.tracks[1].phrases
    assert (phrase.start_beat, phrase.counts) == (0, 32)


def test_unknown_keys_are_told_all_at_once() -> None:
    """Wherever they stand, in the order of their lines."""
    found = read(
        ("minutes = 45", "minuts = 45"),
        ("tempo_bpm = 118.0", "tempo_bpm = 118.0\nbpm = 118"),
        ("counts = 8\n", "counts = 8\nenergie = 1\n"),
    )
    assert [line for line, _ in slips(found)] == [6, 12, 25]
    assert found.plan is not None
    assert len(found.plan.tracks) == 2


def test_a_plan_without_songs_cannot_be_read() -> None:
    """What is missing as a whole has no stand-in."""
    found = plan_with_slips("a.toml", '[brief]\ntitle = "A"\nminutes = 999\n')
    assert found.plan is None
    assert any("no [[tracks]]" in problem for _, problem in slips(found))
    assert found.unread == frozenset()


@pytest.mark.parametrize(
    ("part", "told"),
    [
        ("minutes = 45", "no name: needs name = one of warm-up, main"),
        ('name = "mian"\nminutes = 45', "name 'mian': needs one of warm-up, main"),
        ('name = "main"', "no minutes: needs minutes = 0.5 to 120 min"),
        ('name = "main"\nminutes = 200', "minutes 200: needs 0.5 to 120 min"),
        ('name = "main"\nminutes = 4\n[[brief.parts]]\nname = "warm-up"', "warm-up after main"),
    ],
)
def test_parts_of_the_brief_that_cannot_be_read_are_put_aside(part: str, told: str) -> None:
    """A part has no stand-in: the class is read as if none were asked for."""
    found = read(("[[tracks]]", f"[[brief.parts]]\n{part}\n[[tracks]]"))
    assert len(found.slips) == 1
    assert found.slips[0].problem.startswith(told)
    assert found.plan == plan_from_text("a.toml", LONG)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ('[[brief.favourites]]\nname = "A"\nblocks = ["32 jakc"]', "no move named 'jakc'"),
        ('[[brief.favourites]]\nname = "A"\nblocks = ["8 jack"]', "blocks of 8 counts"),
        ('[[brief.favourites]]\nblocks = ["32 jack"]', "no name"),
        ('[brief.pool]\ndepth = "120"', "depth 120 m"),
        ('[brief.names]\njakc = "Star"', "no move named 'jakc'"),
        ('[brief.songs_used]\n"Odd Lane" = 999', "Odd Lane 999"),
    ],
)
def test_what_cannot_be_read_in_the_brief_is_told_once(asked: str, told: str) -> None:
    """A slip in an ask puts that ask aside, and the songs are read on."""
    found = read(("[[tracks]]", f"{asked}\n[[tracks]]"))
    assert [told in problem for _, problem in slips(found)] == [True]
    assert found.plan == plan_from_text("a.toml", LONG)


def test_a_move_of_a_list_that_is_unknown_puts_the_list_aside() -> None:
    """The line of the list is told, with what was likely meant."""
    found = read(("minutes = 45", 'minutes = 45\nbanned_moves = ["jupm"]'))
    assert slips(found) == [(7, "no move named 'jupm' (did you mean 'jump'?)")]
    assert found.plan == plan_from_text("a.toml", LONG)


def test_a_wish_for_a_song_without_its_title_is_untitled() -> None:
    """What else is wished of it stays; so does a song that was left out without a name."""
    asked = '[[brief.songs]]\nleave_out = true\n[[left_out]]\nreason = "no beat"\n[[tracks]]'
    found = read(("[[tracks]]", asked))
    assert found.plan is not None
    assert [problem for _, problem in slips(found)] == ["no title: needs title = text"] * 2
    assert [(one.title, one.leave_out) for one in found.plan.brief.songs] == [("untitled", True)]
    assert [(one.title, one.reason) for one in found.plan.left_out] == [("untitled", "no beat")]


def test_counts_beside_blocks_that_are_no_list_are_a_phrase() -> None:
    """Both slips are told; nothing tells the counts, so they are 32."""
    found = read(("start_beat = 0\ncounts = 32", "start_beat = 0\ncounts = 0\nblocks = 5"))
    assert [line for line, _ in slips(found)] == [34, 35]
    assert found.plan is not None
    assert found.plan.tracks[1].phrases[0].counts == 32
    assert found.unread == {(2, 1)}


def test_lines_that_are_no_toml_are_left_out_and_told() -> None:
    """Two bad lines are two slips; what stands on other lines keeps its line."""
    found = read(
        ("minutes = 45", "minutes = 45 min"),
        ('title = "Odd Lane"', "title = Odd Lane"),
        ("tempo_bpm = 130.0", "tempo_bpm = 1300"),
    )
    assert slips(found) == [
        (6, "not valid TOML: a number is written without its unit: minutes = 45"),
        (27, "no title: needs title = text"),
        (28, 'not valid TOML: text needs quotes: title = "Odd Lane"'),
        (30, "tempo_bpm 1300: needs 20 to 400 bpm"),
    ]
    assert found.plan is not None
    assert (found.plan.tracks[1].title, found.plan.tracks[1].tempo_bpm) == ("untitled", 120.0)


def test_a_list_left_open_at_the_end_is_told() -> None:
    """The last bracket is missing: the slip names the line that opens it."""
    found = plan_with_slips("a.toml", LONG + "blocks = [\n\n\n")
    assert found.slips[0].line == LONG.count("\n") + 1
    assert found.plan is not None


def test_a_text_that_is_no_toml_at_all_is_given_up() -> None:
    """After 40 lines that cannot be read it is no plan."""
    found = plan_with_slips("a.toml", "\n".join(f"word {n} and more" for n in range(60)))
    assert found.plan is None
    assert len(found.slips) == 40


def test_forty_bad_lines_are_the_most() -> None:
    """39 bad lines before a plan are told and left out; with 40 nothing is read on."""
    bad = "".join(f"word {n} and more\n" for n in range(39))
    found = plan_with_slips("a.toml", bad + LONG)
    assert (len(found.slips), found.plan is not None) == (39, True)
    found = plan_with_slips("a.toml", "one word more\n" + bad + LONG)
    assert (len(found.slips), found.plan) == (40, None)


@pytest.mark.parametrize(
    ("text", "line"), [("a = [", 1), ("\na = [\n\n", 2), ("a = 1\n\nb = [1,\n", 3)]
)
def test_a_bracket_left_open_in_a_short_text(text: str, line: int) -> None:
    """It is told at its line, wherever reading stopped; what has no line goes first."""
    found = plan_with_slips("a.toml", text)
    assert slips(found)[-1] == (
        line, "not valid TOML: the bracket [ opened here is never closed",
    )  # fmt: skip
    assert found.plan is None


def test_an_empty_text_is_no_plan() -> None:
    """There is nothing to put aside."""
    assert slips(plan_with_slips("a.toml", "\n\n")) == [
        (None, "no [[tracks]]: a plan needs at least one")
    ]


def test_notes_that_are_no_list_are_put_aside() -> None:
    """A key of the plan that stands before the tracks, and one after them by its name."""
    found = read(('notes = ["one"]', "notes = 5"), ("[[tracks]]", "[because]\n[[tracks]]"))
    assert [problem.split(":")[0] for _, problem in slips(found)] == ["notes 5", "because"]
    assert found.plan is not None
    assert found.plan.notes == ()
    found = read(("[[tracks]]", "[zebra]\ncounts = 5\nstart_beat = 6\nblocks = 3\n[[tracks]]"))
    assert [problem.split(";")[0] for _, problem in slips(found)] == ["unknown key 'zebra'"]


def test_a_plan_is_read_from_its_file(tmp_path: Path) -> None:
    """Songs are told as seen from here; a file that is not there is an error."""
    folder = tmp_path
    text = LONG.replace('part = "warm-up"', 'part = "warm-up"\nfile = "first.ogg"\nspeed = 7')
    (folder / "a.toml").write_text(text, encoding="utf-8")
    found = read_plan_with_slips(str(folder / "a.toml"))
    assert found.plan is not None
    assert found.plan.tracks[0].file == str(folder / "first.ogg")
    assert [line for line, _ in slips(found)] == [12]
    with pytest.raises(TextFileError):
        read_plan_with_slips(str(folder / "none.toml"))
