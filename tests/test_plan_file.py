"""A plan as a file: round trip, comments kept, every slip named with its line."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aquatempo.documents.plan import plan_from_text, plan_text, read_plan, write_plan
from aquatempo.errors import OutputError, TextFileError
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import (
    Block,
    Brief,
    BuildWay,
    ClassPlan,
    LeftOut,
    PlannedPhrase,
    PlannedTrack,
)
from aquatempo.records.rhythm import EnergyLevel, PhraseKind

BEFORE = Path(__file__).resolve().parent / "plans_of_before"
OLD_SONGS = [("Lane 1", 122.0, 4), ("Lane 2", 128.0, 4)]
JOG = Block(16, "jog", lead="right")
PRESSED = Block(16, "jog", (("arms", "press"),), lead="right", words="tall, now")
TUCK = Block(32, "tuck", show="arms only")


def make_plan() -> ClassPlan:
    """Return two tracks of three phrases and a bridge."""

    def phrase(start: int, *blocks: Block, kind: str = "phrase") -> PlannedPhrase:
        counts = sum(block.counts for block in blocks)
        return PlannedPhrase(start, counts, PhraseKind(kind), EnergyLevel.LOW, blocks)

    hold = Block(8, "easy-jog", lead="left", level="grounded")
    phrases = (phrase(0, JOG, PRESSED), phrase(32, hold, kind="bridge"), phrase(40, TUCK))
    first = PlannedTrack("First Lengths", "lanes/first.ogg", "main", 132.5, phrases)
    second = replace(
        first, title="Odd Lane", file="lanes/odd.ogg", speed=1.02, speed_reason="132 is below"
    )
    brief = Brief(title="Tuesday group", minutes=4, build=BuildWay.LAYER)
    left_out = (LeftOut("Speech", "no beat"),)
    return ClassPlan(brief, (first, second), left_out, ("a note",), "feasible", 0.0125)


def test_a_plan_reads_back_equal() -> None:
    """Written and read again, a plan is the same in every field."""
    assert plan_from_text("plan.toml", plan_text(make_plan())) == make_plan()


@pytest.mark.parametrize("name", ["a.toml", "a.plan"])
def test_names_that_are_no_text_in_notes(tmp_path: Path, name: str) -> None:
    """A note that names a file whose name is no UTF-8 is written with a mark in its place."""
    note = "not sure: aquatempo correct \udcff.wav --double"
    plan = replace(make_plan(), notes=(note,), left_out=(LeftOut("\udcfe", "\udcfd"),))
    write_plan(plan, str(tmp_path / name))
    text = (tmp_path / name).read_text(encoding="utf-8")
    assert name == "a.plan" or "aquatempo correct ?.wav --double" in text


@st.composite
def plans(draw: st.DrawFn) -> ClassPlan:
    """Plans with drawn texts, numbers and blocks."""
    words = st.text(
        st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12
    )
    blocks = st.sampled_from([JOG, PRESSED, TUCK, Block(8, "jack"), Block(4, "walk", lead="left")])
    tracks = []
    for _ in range(draw(st.integers(1, 3))):
        at, phrases = draw(st.integers(0, 40)), []
        for _ in range(draw(st.integers(1, 4))):
            held = tuple(draw(st.lists(blocks, min_size=1, max_size=3)))
            counts = sum(block.counts for block in held)
            kind, energy = draw(st.sampled_from(PhraseKind)), draw(st.sampled_from(EnergyLevel))
            phrases.append(PlannedPhrase(at, counts, kind, energy, held))
            at += counts
        tempo, speed = draw(st.floats(60, 200)), draw(st.floats(0.9, 1.1))
        rights = draw(words)
        tracks.append(
            PlannedTrack(draw(words), "a.ogg", "main", tempo, tuple(phrases), speed, rights=rights)
        )
    notes = tuple(draw(st.lists(words, max_size=3)))
    return ClassPlan(Brief(title=draw(words)), tuple(tracks), notes=notes)


@settings(max_examples=40, deadline=None)
@given(plans())
def test_any_plan_reads_back_equal(plan: ClassPlan) -> None:
    """Any text, number and kind survives; writing the same again changes no byte."""
    text = plan_text(plan)
    assert plan_from_text("plan.toml", text) == plan
    assert plan_text(plan, text) == text


def test_comments_stay_with_what_they_were_written_for() -> None:
    """A person's comments survive a rewrite, also where tracks swap and phrases go."""
    text = plan_text(make_plan())
    text = text.replace('title = "Odd Lane"', 'title = "Odd Lane"  # their favourite')
    text = text.replace("start_beat = 40", "# bring the noodles\nstart_beat = 40", 1)
    text = text.replace("    {counts = 32", "    # slowly\n    {counts = 32", 1)
    plan = plan_from_text("plan.toml", text)
    assert plan == make_plan()
    first, second = plan.tracks
    changed = replace(plan, tracks=(second, replace(first, phrases=first.phrases[1:])))
    again = plan_text(changed, text)
    assert plan_from_text("plan.toml", again) == changed
    assert 'title = "Odd Lane"  # their favourite' in again
    after = again[again.index("First Lengths") :]
    assert "# bring the noodles\nstart_beat = 40" in after
    assert "# slowly\n    {counts = 32" in after


def test_a_small_edit_is_a_small_difference() -> None:
    """Changing one block changes one line of the file."""
    plan = make_plan()
    track = plan.tracks[0]
    phrase = replace(track.phrases[2], blocks=(replace(TUCK, show="full"),))
    edited = replace(track, phrases=(*track.phrases[:2], phrase))
    before = plan_text(plan).splitlines()
    after = plan_text(replace(plan, tracks=(edited, plan.tracks[1]))).splitlines()
    assert len(before) == len(after)
    assert sum(a != b for a, b in zip(before, after, strict=True)) == 1


@pytest.mark.parametrize(
    ("seen", "put", "problem"),
    [
        ('{counts = 32, move = "tuck"', '{counts = 32, move = "tuk"', "no move named 'tuk'"),
        ('vary = {arms = "press"}', 'vary = {arms = "pres"}', "no arms option named 'pres'"),
        ('vary = {arms = "press"}', 'vary = {arm = "press"}', "no factor named 'arm'"),
        ('lead = "left"', 'lead = "links"', "lead 'links': needs one of"),
        ('pattern = "2"', 'pattern = "3"', "pattern '3': needs counts a movement of 1, 2 or 4"),
        ("{counts = 8,", "{counts = 7,", "blocks of 7 counts in a phrase of 8"),
        ('kind = "bridge"', 'kind = "brigde"', "kind 'brigde': needs one of intro, phrase"),
        ("start_beat = 40", "start_beat = 41", "the phrase before it ends at 40"),
        ('part = "main"', 'part = "middle"', "part 'middle': needs one of warm-up"),
        ("tempo_bpm = 132.5", "tempo_bpm = 1325", "tempo_bpm 1325: needs 20 to 400 bpm"),
        ("speed = 1.0\n", "speeed = 1.0\n", "unknown key 'speeed'"),
        ('format = "aquatempo/plan/1"', 'format = "aquatempo/plan/9"', "needs aquatempo/plan/1"),
        ("minutes = 4", "minutes = 400", "minutes 400: needs 1 to 180 min"),
    ],
)
def test_every_slip_has_its_line(seen: str, put: str, problem: str) -> None:
    """What is wrong in a plan edited by hand is named with the line that it stands on."""
    text = plan_text(make_plan())
    wrong = text.replace(seen, put, 1)
    assert wrong != text
    changed = next(
        number
        for number, (a, b) in enumerate(zip(text.splitlines(), wrong.splitlines(), strict=True), 1)
        if a != b
    )
    with pytest.raises(TextFileError) as caught:
        plan_from_text("plan.toml", wrong)
    assert problem in str(caught.value)
    assert caught.value.line is not None
    near = 1 if "blocks of" in problem else 0  # a sum is told where its list starts
    assert abs(caught.value.line - changed) <= near


def test_a_plan_without_tracks_is_no_plan() -> None:
    """A file that plans nothing says so."""
    with pytest.raises(TextFileError, match=r"no \[\[tracks\]\]"):
        plan_from_text("plan.toml", "[brief]\n")


def test_files_are_told_as_seen_from_the_plan(tmp_path: Path, monkeypatch: object) -> None:
    """A plan in another folder finds its songs, and its text names no absolute path."""
    assert isinstance(monkeypatch, pytest.MonkeyPatch)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plans").mkdir()
    write_plan(make_plan(), "plans/tuesday.toml")
    text = (tmp_path / "plans/tuesday.toml").read_text(encoding="utf-8")
    assert 'file = "../lanes/first.ogg"' in text
    assert str(tmp_path) not in text
    assert read_plan("plans/tuesday.toml") == make_plan()


@pytest.mark.skipif(sys.platform == "win32", reason="names are text there")
@pytest.mark.parametrize("name", [b"\xff\xfe.ogg", b"file:x.ogg", "gr\u00f6\u00dfe.ogg".encode()])
@pytest.mark.parametrize("ending", ["toml", "plan"])
def test_files_of_any_name_come_back(tmp_path: Path, name: bytes, ending: str) -> None:
    """A song whose name is no text is written in a plan, which stays UTF-8, and found again."""
    song = tmp_path / os.fsdecode(name)
    song.touch()
    plan = make_plan()
    plan = replace(plan, tracks=(replace(plan.tracks[0], file=str(song)),))
    path = tmp_path / "below" / f"a.{ending}"
    write_plan(plan, str(path))
    path.read_text(encoding="utf-8")
    assert Path(read_plan(str(path)).tracks[0].file).samefile(song)


def test_a_plan_that_was_copied_finds_songs_beside_it(tmp_path: Path) -> None:
    """On another machine the songs lie beside the plan, or in a folder beside it."""
    write_plan(make_plan(), str(tmp_path / "tuesday.toml"))
    wanted = make_plan().tracks[0].file
    for place in (tmp_path / "usb" / Path(wanted).name, tmp_path / Path(wanted).name):
        place.parent.mkdir(exist_ok=True)
        place.touch()
        assert read_plan(str(tmp_path / "tuesday.toml")).tracks[0].file == str(place)


def test_a_plan_is_replaced_only_by_force_and_keeps_its_comments(tmp_path: Path) -> None:
    """Without force nothing is written over; with it the person's comments stay."""
    path = tmp_path / "plan.toml"
    write_plan(make_plan(), str(path))
    path.write_text(path.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    with pytest.raises(OutputError, match="exists already"):
        write_plan(make_plan(), str(path))
    write_plan(make_plan(), str(path), force=True)
    assert path.read_text(encoding="utf-8").endswith("# mine\n")


def test_a_plan_written_before_still_opens(tmp_path: Path) -> None:
    """A plan as the first version wrote it, fields of today missing, reads and is kept whole.

    tests/plans_of_before: written by the writer of that day, cut to two songs of four phrases.
    What it did not know yet has its default; written anew and read it is the same plan.
    """
    old = read_plan(str(BEFORE / "2026-11-25.toml"))
    assert old.brief.depth is ClassDepth.DEEP
    assert old.brief.group.age_years == (30.0, 75.0)
    assert [(track.title, track.tempo_bpm, len(track.phrases)) for track in old.tracks] == OLD_SONGS
    first = old.tracks[0].phrases[0].blocks[0]
    assert (first.move, first.pattern, first.lead, first.level) == ("easy-jog", "2", "left", "III")
    for track in old.tracks:
        for one in track.phrases:
            assert sum(block.counts for block in one.blocks) == one.counts
    again = tmp_path / "again.toml"
    write_plan(old, str(again))
    assert with_names(read_plan(str(again))) == with_names(old)


def with_names(plan: ClassPlan) -> ClassPlan:
    """Return a plan whose files are told by name alone, wherever the plan lies."""
    return replace(
        plan,
        tracks=tuple(replace(track, file=Path(track.file).name) for track in plan.tracks),
    )
