"""The review with calls placed on the beats, and its picture."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from plan_making import heard, make_plan

from aquatempo.errors import InputError, OutputError
from aquatempo.exports.effort_picture import effort_picture
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedPhrase, PlannedTrack
from aquatempo.records.review import Fault, Review
from aquatempo.records.track import Track
from aquatempo.workflow.reviewing import review, write_effort_picture

KNOWN = Brief(minutes=1.0, known_moves=("jack", "jog", "leg-curl"))
SVG = "{http://www.w3.org/2000/svg}"


def busy_plan(every: int, with_beats: bool = True) -> ClassPlan:
    """Return two phrases in which another known move or arm action starts every few counts."""
    analysis = heard([("phrase", 32)] * 2, 150.0)
    arms = ("press", "fly", "breaststroke", "reach")
    blocks = tuple(
        Block(every, "jack", (("arms", arms[place % 4]), ("hands", "open"), ("turn", "half")))
        for place in range(32 // every)
    )
    phrases = tuple(
        PlannedPhrase(p.start_beat, p.counts, p.kind, p.energy_level, blocks)
        for p in analysis.phrases
    )
    track = PlannedTrack(
        *("Lane 1", "lane-1.ogg", "main", 150.0, phrases),
        analysis=analysis if with_beats else None,
        content_key="abc",
    )
    return ClassPlan(KNOWN, (track,))


def faults(found: Review) -> set[Fault]:
    """Return the names of what was found."""
    return {one.fault for one in found.findings}


@pytest.mark.long
def test_calls_are_reviewed_on_unbroken_plans_too() -> None:
    """With calls placed, unbroken plans still give at most one piece of advice."""
    for seed in (0, 1, 12):
        found = review(make_plan(seed))
        assert found.fit_to_teach
        assert len(found.findings) <= 1


def test_too_many_changes_leave_no_time_to_call() -> None:
    """A change every two counts cannot be called; each missing call is placed."""
    found = review(busy_plan(2))
    missing = [one for one in found.findings if one.fault is Fault.CALL_MISSING]
    assert {one.phrase for one in missing} == {1, 2}
    assert all("no count is left to call" in one.reason for one in missing)


def test_many_words_in_a_phrase_are_told() -> None:
    """Eights that each change three things are over the budget of words for a phrase."""
    assert Fault.CALLS in faults(review(busy_plan(8)))
    assert Fault.CALLS not in faults(review(busy_plan(32)))


def test_beats_come_from_the_track_with_the_same_content() -> None:
    """A plan without beats gets those of the track whose content it names, under any file name."""
    plan = busy_plan(8, with_beats=False)
    analysis = heard([("phrase", 32)] * 2, 150.0)
    assert Fault.CALLS not in faults(review(plan))
    assert Fault.CALLS in faults(review(plan, [Track("moved.ogg", "Other", analysis, "abc")]))
    assert Fault.CALLS not in faults(review(plan, [Track("lane-1.ogg", "Lane 1", analysis, "xyz")]))


def test_a_broken_track_is_reviewed_without_its_calls() -> None:
    """What cannot be placed on beats is told as a fault of structure, not as a crash."""
    plan = busy_plan(8)
    track = plan.tracks[0]
    cut = replace(track.phrases[0], counts=24)
    broken = replace(plan, tracks=(replace(track, phrases=(cut, *track.phrases[1:])),))
    assert {Fault.COUNTS, Fault.PHRASES} <= faults(review(broken))


def test_picture_has_a_step_a_phrase_and_every_part() -> None:
    """The curve has two points a phrase, the parts are named, and no colour carries meaning."""
    plan = make_plan(4)
    found = review(plan)
    root = ET.fromstring(effort_picture(plan.brief.title, found))
    curve = next(root.iter(f"{SVG}polyline"))
    assert len(curve.attrib["points"].split()) == 2 * len(found.effort)
    words = [node.text for node in root.iter(f"{SVG}text")]
    assert {"warm-up", "main", "cool-down", "stretch"} <= set(words)
    for node in root.iter():
        for value in (node.attrib.get("fill", ""), node.attrib.get("stroke", "")):
            if value.startswith("#"):
                digits = value[1:] if len(value) == 7 else "".join(2 * mark for mark in value[1:])
                assert digits[0:2] == digits[2:4] == digits[4:6], value  # a grey


def test_picture_of_a_class_without_effort_says_so() -> None:
    """A plan in which nothing can be read still gives a picture."""
    empty = Review(findings=(), minutes=0.0, effort=(), balance=(), jump_minutes=0.0)
    assert "no effort is known" in effort_picture("Empty", empty)


def test_pictures_are_svg_and_replace_nothing(tmp_path: object) -> None:
    """Another ending is refused, and so is a file that is there already."""
    plan = make_plan(4)
    found = review(plan)
    with pytest.raises(InputError, match=r"needs a name that ends in \.svg"):
        write_effort_picture(plan, found, f"{tmp_path}/effort.png")
    write_effort_picture(plan, found, f"{tmp_path}/effort.svg")
    with pytest.raises(OutputError, match="exists already"):
        write_effort_picture(plan, found, f"{tmp_path}/effort.svg")
