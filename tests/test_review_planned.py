"""The planner's own plans, judged by the review and by the independent checker."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plan_checker import check
from plan_making import heard

from aquatempo.moves import catalogue
from aquatempo.planning.class_plan import plan_class
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import Brief, BuildWay
from aquatempo.records.review import Severity
from aquatempo.records.track import Track
from aquatempo.workflow.reviewing import review

SONGS = (
    ("Warm Tiles", 118.0, 4),
    ("First Lane", 128.0, 5),
    ("Second Lane", 130.0, 5),
    ("Still Water", 92.0, 4),
    ("Towel", 88.0, 3),
)


def songs() -> list[Track]:
    """Return five invented songs with an intro, a bridge and an outro."""
    found = []
    for number, (title, tempo, phrases) in enumerate(SONGS):
        spans = [("intro", 16), *[("phrase", 32)] * phrases, ("bridge", 8)]
        spans += [*[("phrase", 32)] * phrases, ("outro", 8)]
        found.append(Track(f"{number}.ogg", title, heard(spans, tempo), f"key {number}"))
    return found


@pytest.mark.long
@pytest.mark.parametrize("build", [BuildWay.LINEAR, BuildWay.LAYER])
@pytest.mark.parametrize("depth", list(ClassDepth))
def test_planned_classes_pass_review_and_checker(depth: ClassDepth, build: BuildWay) -> None:
    """A planned class breaks no hard rule, and is told one piece of advice at most."""
    deep = Pool(depth_m=2.0, kind=ClassDepth.DEEP, space_m2=5.0)
    pool = Pool(space_m2=5.0) if depth is ClassDepth.SHALLOW else deep
    brief = Brief(minutes=10.0, depth=depth, pool=pool, build=build)
    plan = plan_class(songs(), replace(brief, seed=3), catalogue())
    assert check(plan) == []
    found = review(plan)
    assert [one for one in found.findings if one.severity is not Severity.ADVICE] == []
    assert found.count(Severity.ADVICE) <= 1, found.findings
