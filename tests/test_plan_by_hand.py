"""A plan as a file: every key read and written, borders of its numbers, turns, comments kept."""

from __future__ import annotations

from dataclasses import replace

import pytest
import tomlkit

from aquatempo.documents.plan import is_plan, plan_from_text, plan_text
from aquatempo.documents.plan_layout import stint_of, stint_text
from aquatempo.errors import InputError, TextFileError
from aquatempo.records.plan import (
    Because,
    Block,
    Brief,
    ClassPlan,
    LeftOut,
    PartName,
    PlannedPhrase,
    PlannedTrack,
    Stint,
)
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

FULL = """\
format = "aquatempo/plan/1"
status = "optimal"
gap = 0.25
ending = "circle"
notes = ["one", "two"]
because = [
    {of = "track 1", does = "starts slow", source = "practice", overruled = "rule 2"},
    {of = "track 2", does = "jumps"},
]

[brief]
title = "Tuesday group"
minutes = 45

[[left_out]]
title = "Speech"
reason = "no beat"

[[tracks]]
title = "Odd Lane"
file = "odd.ogg"
part = "main"
tempo_bpm = 130.5
speed = 1.02
speed_reason = "below 132"
content_key = "k1"
rights = "licence 7"
locked = true

[[tracks.phrases]]
start_beat = 16
counts = 32
kind = "phrase"
energy = "high"
section = "chorus"
locked = true
blocks = [
    {counts = 16, move = "jog", vary = {arms = "press"}, pattern = "4", lead = "left", FORM, WORDS},
    {counts = 16, move = "jack"},
]
""".replace("FORM", 'level = "II", travel = "forward"').replace(
    "WORDS",
    'words = "tall", show = "full", stint = "work 3 of 16, 20.3 s", held_s = 2.5, locked = true',
)
JOG = Block(
    16, "jog", (("arms", "press"),), "4", "left", "II", "forward", "tall", "full",
    Stint(True, 3, 16, 20.3), 2.5, True,
)  # fmt: skip


def read(text: str = FULL) -> ClassPlan:
    """Return the plan in a text."""
    return plan_from_text("a.toml", text)


def test_every_key_finds_its_place() -> None:
    """A plan that says all there is to say, against the record by hand."""
    plan = read()
    assert (plan.status, plan.gap, plan.ending, plan.notes) == (
        "optimal", 0.25, "circle", ("one", "two"),
    )  # fmt: skip
    assert plan.because == (
        Because("track 1", "starts slow", "practice", "rule 2"), Because("track 2", "jumps"),
    )  # fmt: skip
    assert plan.left_out == (LeftOut("Speech", "no beat"),)
    (track,) = plan.tracks
    (phrase,) = track.phrases
    assert replace(track, phrases=()) == PlannedTrack(
        "Odd Lane", "odd.ogg", "main", 130.5, (), 1.02, "below 132", "k1", "licence 7", locked=True,
    )  # fmt: skip
    assert replace(phrase, blocks=()) == PlannedPhrase(
        16, 32, PhraseKind.PHRASE, EnergyLevel.HIGH, (), "chorus", True
    )
    jog, jack = phrase.blocks
    stint = jog.stint
    assert jog == replace(JOG, stint=stint)
    assert stint == Stint(True, 3, 16, 20.3)
    assert (jack.move, jack.pattern, jack.level, jack.travel) == ("jack", "2", "I", "in place")


def test_every_key_is_written() -> None:
    """What is written says the same keys with the same values, and reads back equal."""
    plan = read()
    text = plan_text(plan)
    assert read(text) == plan
    told, asked = tomlkit.parse(text).unwrap(), tomlkit.parse(FULL).unwrap()
    assert set(told) == set(asked)
    for key in asked:
        if key not in ("brief", "tracks"):
            assert told[key] == asked[key], key
    told_track, track = told["tracks"][0], asked["tracks"][0]
    assert {**told_track, "phrases": 0} == {**track, "phrases": 0}
    told_phrase, phrase = told_track["phrases"][0], track["phrases"][0]
    assert {**told_phrase, "blocks": 0} == {**phrase, "blocks": 0}
    assert told_phrase["blocks"][0] == phrase["blocks"][0]


def test_what_is_not_said_is_as_usual() -> None:
    """A plan by hand of a song and a phrase."""
    plan = read(
        '[[tracks]]\ntitle = "A"\npart = "main"\ntempo_bpm = 120\n'
        "[[tracks.phrases]]\nstart_beat = 0\ncounts = 32\n"
    )
    phrase = PlannedPhrase(0, 32, PhraseKind.PHRASE, EnergyLevel.MEDIUM, ())
    track = PlannedTrack("A", "", "main", 120.0, (phrase,))
    assert plan == ClassPlan(Brief(), (track,), status="by hand")
    text = plan_text(plan)
    for key in ("ending", "because", "speed_reason", "content_key", "section", "locked ="):
        assert f"\n{key}" not in text


ONE = (
    '[[tracks]]\ntitle = "A"\npart = "main"\ntempo_bpm = 120\nspeed = 1\n'
    "[[tracks.phrases]]\nstart_beat = 0\ncounts = 32\nblocks = [\n"
    '  { counts = 32, move = "jog", held_s = 0 },\n]\n'
)


@pytest.mark.parametrize(
    ("seen", "put", "step", "told"),
    [
        ("tempo_bpm = 120", "tempo_bpm = {}", (20, 400, 0.1), "tempo_bpm {}: needs 20 to 400 bpm"),
        ("speed = 1", "speed = {}", (0.5, 2, 0.01), "speed {}: needs 0.5 to 2 times the tempo"),
        ("held_s = 0", "held_s = {}", (0, 600, 0.1), "held_s {}: needs 0 to 600 s"),
        ("[[tracks]]", "gap = {}\n[[tracks]]", (0, 1, 0.01), "gap {}: needs 0 to 1"),
        (
            "start_beat = 0",
            "start_beat = {}",
            (0, 100_000, 1),
            "start_beat {}: needs 0 to 100000 b",
        ),
    ],
)
def test_numbers_of_a_plan_are_read_to_their_borders(
    seen: str, put: str, step: tuple[float, float, float], told: str
) -> None:
    """At both ends, and a step beyond them not."""
    low, high, beyond = step
    for value in (low, high):
        read(ONE.replace(seen, put.format(value), 1))
    for value in (low - beyond, high + beyond):
        with pytest.raises(TextFileError) as caught:
            read(ONE.replace(seen, put.format(value), 1))
        assert caught.value.problem.startswith(told.format(f"{value:g}"))


@pytest.mark.parametrize(("counts", "fits"), [(1, True), (4096, True), (0, False), (4097, False)])
def test_a_phrase_has_one_to_4096_counts(counts: int, fits: bool) -> None:
    """A phrase, and each of its blocks, has a count at least."""
    text = ONE.replace("counts = 32", f"counts = {counts}")
    if fits:
        assert read(text).tracks[0].phrases[0].counts == counts
    else:
        with pytest.raises(TextFileError, match=f"counts {counts}: needs 1 to 4096 counts"):
            read(text)
    alone = ONE.replace("counts = 32,", f"counts = {counts},")
    with pytest.raises(TextFileError, match="counts"):
        read(alone)


@pytest.mark.parametrize(
    ("seen", "put", "line", "told"),
    [
        ("move =", "moev =", 10, "unknown key 'moev'; known here: counts, move"),
        ("title = ", "tilte = ", 2, "unknown key 'tilte'; known here: title, file"),
        ("start_beat = 0", "start = 0", 7, "unknown key 'start'; known here: start_beat"),
        ("start_beat = 0\n", "", 6, "no start_beat: needs start_beat = 0 to 100000 beats"),
        ('move = "jog"', 'move = "jog", stint = "work 3"', 10, "stint 'work 3': needs work or"),
        ('move = "jog"', 'move = "jog", lead = "r"', 10, "lead 'r': needs one of \"\", right"),
        ('move = "jog"', 'move = "jog", show = "r"', 10, "show 'r': needs one of \"\", full, low"),
        ('move = "jog"', 'move = "jog", level = "IV"', 10, "level 'IV': needs one of I, II, III"),
        ('move = "jog"', 'move = "jog", travel = "up"', 10, "travel 'up': needs one of in place"),
        ("[[tracks]]", "because = [{ of = 'a' }]\n[[tracks]]", 1, "no does: needs does = text"),
        ("[[tracks]]", "[[left_out]]\nwhy = 'a'\n[[tracks]]", 2, "unknown key 'why'; known here"),
    ],
)  # fmt: skip
def test_slips_of_a_plan_have_their_line(seen: str, put: str, line: int, told: str) -> None:
    """What was seen and what is needed."""
    with pytest.raises(TextFileError) as caught:
        read(ONE.replace(seen, put, 1))
    assert caught.value.line == line
    assert caught.value.problem.startswith(told)


@pytest.mark.parametrize(("start", "fits"), [(32, True), (31, False), (33, False)])
def test_a_phrase_starts_where_the_one_before_it_ends(start: int, fits: bool) -> None:
    """32 counts from beat 0 end at 32."""
    text = ONE + f"[[tracks.phrases]]\nstart_beat = {start}\ncounts = 8\n"
    if fits:
        assert read(text).tracks[0].phrases[1].start_beat == 32
    else:
        with pytest.raises(TextFileError) as caught:
            read(text)
        assert caught.value.problem == (
            f"start_beat {start}: the phrase before it ends at 32 "
            "(was one added or cut without the others moving?)"
        )
        assert caught.value.line == 13


@pytest.mark.parametrize(
    ("text", "stint"),
    [
        ("work 3 of 16, 20.3 s", Stint(True, 3, 16, 20.3)),
        ("rest 1 of 2, 15 s", Stint(False, 1, 2, 15.0)),
        (" work 10 of 16 ", Stint(True, 10, 16, 0.0)),
    ],
)
def test_a_turn_of_work_or_rest(text: str, stint: Stint) -> None:
    """Which it is, its set of how many, its seconds."""
    assert stint_of(text) == stint
    assert stint_of(stint_text(stint)) == stint


@pytest.mark.parametrize(
    "text", ["work", "play 1 of 2", "work 1 of 2, 15", "work 1of 2", "work a of 2"]
)
def test_a_turn_that_is_none(text: str) -> None:
    """What is needed is told by an example."""
    with pytest.raises(InputError) as caught:
        stint_of(text)
    assert str(caught.value) == (
        f"stint {text!r}: needs work or rest and its set, as 'work 3 of 16, 20 s'"
    )


def test_a_plan_is_told_by_its_suffix_and_its_tracks(tmp_path: object) -> None:
    """The short form by its suffix, in any case; TOML by its tracks; nothing else."""
    from pathlib import Path

    folder = Path(str(tmp_path))
    (folder / "plan.toml").write_text(ONE, encoding="utf-8")
    (folder / "sheet.TOML").write_text("tempo_bpm = 120\n", encoding="utf-8")
    (folder / "bad.toml").write_text("tempo_bpm = \n", encoding="utf-8")
    told = {name: is_plan(str(folder / name)) for name in (
        "plan.toml", "sheet.TOML", "bad.toml", "none.toml", "a.PLAN", "a.plan", "a.ogg",
    )}  # fmt: skip
    assert told == {
        "plan.toml": True, "sheet.TOML": False, "bad.toml": False, "none.toml": False,
        "a.PLAN": True, "a.plan": True, "a.ogg": False,
    }  # fmt: skip


def song(title: str, *starts: int) -> PlannedTrack:
    """Return a song with phrases of 8 counts."""
    phrases = tuple(PlannedPhrase(at, 8, PhraseKind.PHRASE, EnergyLevel.LOW, ()) for at in starts)
    return PlannedTrack(title, f"{title}.ogg", "main", 120.0, phrases)


def commented(plan: ClassPlan) -> str:
    """Return the text of a plan, each start of a phrase with a comment of its song and beat."""
    rows, title = [], ""
    for row in plan_text(plan).splitlines():
        title = row.split('"')[1] if row.startswith("title = ") else title
        rows.append(f"{row}  # of {title}" if row.startswith("start_beat") else row)
    return "\n".join(rows) + "\n"


def test_comments_follow_their_songs_and_phrases() -> None:
    """Songs change places, one goes, one comes, a phrase goes: comments stay with the others."""
    first, second, third = song("A", 0, 8, 16), song("B", 0, 8), song("C", 0)
    text = commented(ClassPlan(Brief(), (first, second, third)))
    changed = ClassPlan(Brief(), (third, song("D", 0), replace(first, phrases=first.phrases[1:])))
    again = plan_text(changed, text)
    assert plan_from_text("a.toml", again) == replace(changed, status="by hand")
    rows = [row for row in again.splitlines() if row.startswith("start_beat")]
    assert rows == [
        "start_beat = 0  # of C", "start_beat = 0", "start_beat = 8  # of A",
        "start_beat = 16  # of A",
    ]  # fmt: skip


def test_two_songs_of_one_name_keep_their_own_comments() -> None:
    """The first of them has those of the first."""
    plan = ClassPlan(Brief(), (song("A", 0), song("A", 8)))
    text = plan_text(plan).replace("start_beat = 0", "start_beat = 0  # one")
    again = plan_text(replace(plan, notes=("new",)), text)
    assert again.count("start_beat = 0  # one") == 1
    assert again.index("# one") < again.index("start_beat = 8")


def test_keys_come_and_go_in_a_text_that_is_kept() -> None:
    """What is no longer said is gone, what is new is there, the rest has its comment."""
    plan = read()
    text = plan_text(plan).replace('ending = "circle"', 'ending = "circle"  # mine')
    text = text.replace('title = "Speech"', 'title = "Speech"  # why')
    (track,) = plan.tracks
    other = replace(
        plan, because=(), left_out=(LeftOut("Speech", "too long"), LeftOut("Talk", "")),
        tracks=(replace(track, content_key="", speed_reason=""),), status="feasible",
    )  # fmt: skip
    again = plan_text(other, text)
    assert read(again) == other
    assert 'ending = "circle"  # mine' in again
    assert 'title = "Speech"  # why' in again
    assert "content_key" not in again
    assert "because" not in again
    gone = plan_text(replace(plan, left_out=()), text)
    assert "left_out" not in gone
    assert "\n\n\n" not in gone
    assert gone.endswith("]\n")


def test_lists_are_written_a_line_an_entry() -> None:
    """Blocks, reasons and notes: one can be changed without the others."""
    text = plan_text(read())
    rows = text.splitlines()
    for start in ("    {counts = 16, move", '    {of = "track', '    "one"', '    "two"'):
        assert any(row.startswith(start) for row in rows), start
    assert rows[0].startswith("# A class plan.")
    assert (
        rows[rows.index("# Figures are estimates for planning, not a clearance for anyone.") + 1]
        == ""
    )
    assert "notes = []" in plan_text(ClassPlan(Brief(), (song("A", 0),)))


def test_parts_are_those_of_a_class() -> None:
    """Each of them is read."""
    for part in PartName:
        assert read(ONE.replace('"main"', f'"{part}"')).tracks[0].part == part
