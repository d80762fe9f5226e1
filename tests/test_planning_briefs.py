"""Briefs of real groups, planned, hold what a trainer demands; all 15 by ``proofs.briefs``."""

from __future__ import annotations

import pytest
from proofs.briefs import BRIEFS, plans_of
from trainer_demands import unmet
from trainer_edits import edits

from aquatempo.documents.brief import read_brief
from aquatempo.records.review import Severity
from aquatempo.review.plan_review import review_plan

IN_THE_SUITE = ("10-rehab", "02-first-week")


def test_there_are_fifteen_briefs_and_all_are_read() -> None:
    """Every brief file of the folder reads without a slip."""
    paths = sorted(BRIEFS.glob("*.toml"))
    assert len(paths) == 15
    assert len({read_brief(str(path)).brief.title for path in paths}) == 15


@pytest.mark.long
@pytest.mark.parametrize("name", IN_THE_SUITE)
def test_a_trainer_would_sign_it(name: str) -> None:
    """No demand is unmet, review finds only advice, and ten minutes hold one edit at most."""
    (plan,) = plans_of(BRIEFS / f"{name}.toml")
    assert unmet(plan) == []
    assert len(edits(plan)) <= plan.brief.minutes / 10.0
    assert all(one.severity is Severity.ADVICE for one in review_plan(plan).findings)
