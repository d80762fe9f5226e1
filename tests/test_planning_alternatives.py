"""What else might be done in a block: what the class knows, varied; what is new, as it starts."""

from __future__ import annotations

from pathlib import Path

import pytest

from aquatempo.documents.plan import any_plan_from_text
from aquatempo.planning.moves.palette import Palette, Rated
from aquatempo.planning.shaping.alternatives import alternatives
from aquatempo.planning.shaping.places import place_of
from aquatempo.records.moves import Move, MoveForm

PLAN = Path(__file__).parent / "recorded" / "plan.toml"


def test_only_what_the_class_has_met_is_varied(monkeypatch: pytest.MonkeyPatch) -> None:
    """A new move is offered as it starts, and no variation of it is rated: that took most time."""
    plan = any_plan_from_text("recorded", PLAN.read_text("utf-8"))
    varied: list[str] = []

    def forms_of(palette: Palette, move: Move, tempo_bpm: float, start: MoveForm) -> list[Rated]:
        varied.append(move.key)
        return palette.rate([start], tempo_bpm)

    monkeypatch.setattr(Palette, "forms_of", forms_of)
    found = alternatives(plan, place_of("2.3"), best=12)
    before = (*plan.tracks[0].phrases, *plan.tracks[1].phrases[:2])
    met = {block.move for phrase in before for block in phrase.blocks}
    assert varied
    assert met.issuperset(varied)
    new = [one for one in found if one.block.move not in met]
    assert new
    assert all(one.learning == "a base move new to the class" for one in new)
