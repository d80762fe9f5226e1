"""docs/moves.md tells the catalogue as it is."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

from aquatempo.moves import catalogue
from aquatempo.moves.listing import catalogue_markdown
from aquatempo.records.moves import Arm, Factor, MoveKind

ROOT = Path(__file__).parent.parent


def test_the_table_of_moves_is_not_stale() -> None:
    """docs/moves.md is what the data gives; the message says how to make it anew."""
    again = (
        "python -c 'from aquatempo.moves.listing import catalogue_markdown as m;"
        ' print(m(), end="")\' > docs/moves.md'
    )
    assert (ROOT / "docs" / "moves.md").read_text(encoding="utf-8") == catalogue_markdown(), again


def test_every_move_and_option_is_listed() -> None:
    """Each move and each factor option stands in the table with its key."""
    text = catalogue_markdown()
    for key in catalogue().moves:
        assert f"(`{key}`)" in text
    for _, key in catalogue().options:
        assert f"(`{key}`)" in text


def frozen_rows(start: str) -> dict[str, list[str]]:
    """Return the rows of the design note's table whose header begins with start, by name."""
    note = (ROOT / "docs" / "design" / "moves.md").read_text(encoding="utf-8")
    table = note[note.index(f"| {start} |") :].split("\n\n")[0].splitlines()[2:]
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in table]
    return {row[0].removesuffix(" (holding)"): row[1:] for row in rows}


def angles(text: str) -> set[frozenset[float]]:
    """Return the ends of each swing written as ``0>60``, in either direction."""
    return {frozenset(map(float, pair)) for pair in re.findall(r"(-?\d+)>(-?\d+)", text)}


def test_frozen_excursions_are_those_of_the_design_note() -> None:
    """Every base and deep move swings and hops as the design note froze it, no more, no less."""
    rows = frozen_rows("move")
    told = 0
    for move in catalogue().moves.values():
        row = rows.get(move.name.lower().removesuffix(" jump"))
        if row is None:
            assert move.kind in (MoveKind.HOLDING, MoveKind.ARMS_ONLY, MoveKind.STRETCH) or (
                not any(movement.swings for movement in move.movements)
            )
            continue
        told += 1
        swings = [swing for movement in move.movements for swing in movement.swings]
        assert {frozenset((s.start_deg, s.end_deg)) for s in swings} == angles(row[0]), move.key
        assert max(m.flight_m for m in move.movements) == float(row[1]), move.key
    assert told == len(rows)


def test_frozen_arm_actions_are_those_of_the_design_note() -> None:
    """Every arm action swings as the design note froze it."""
    rows = frozen_rows("arm action")
    options = {o.key: o for o in catalogue().options_of(Factor.ARMS) if o.home is not None}
    assert set(options) == set(rows)
    for key, option in options.items():
        assert option.home is not None
        assert option.out is not None
        ends = [
            (getattr(option.home, field.name), getattr(option.out, field.name))
            for field in fields(Arm)
        ]
        assert {frozenset(pair) for pair in ends if pair[0] != pair[1]} == angles(rows[key][0]), key
