"""What is advised for given shares of the range: the judgement itself is written by hand here."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace

import numpy as np
import pytest
from feasibility_cases import GROUP, POOL, form

from aquatempo.feasibility import advising, free_inputs
from aquatempo.feasibility.advising import advice_for
from aquatempo.moves import catalogue
from aquatempo.records.moves import Factor, MoveForm, Pattern
from aquatempo.records.people import ClassDepth

EASIER = next(
    move for move in catalogue().moves.values()
    if move.easier in catalogue().moves
    and ClassDepth.SHALLOW in move.depths
    and ClassDepth.SHALLOW in catalogue().move(move.easier).depths
)  # fmt: skip


def _advice(
    monkeypatch: pytest.MonkeyPatch, kept: dict[str, float], one: MoveForm, text: str
) -> tuple[dict[str, str], list[str]]:
    """Return advice by kind, and the forms that were judged, where shares kept are as given.

    kept: by the counts that are judged, or by the form's name with its range.
    """
    judged: list[str] = []

    def shares(forms: Sequence[MoveForm], patterns: Sequence[Pattern], *_: object) -> object:
        names = [
            f"{f.move.key}{' small' if (Factor.RANGE, 'small') in f.variation.changes else ''}"
            for f in forms
        ]
        judged.extend(names)
        table = [[kept.get(p.text, kept.get(name, 0.0)) for p in patterns] for name in names]
        middle = np.array(table)[:, :, None]
        return SimpleNamespace(range_kept=np.stack([middle - 0.3, middle, middle + 0.3], axis=-1))

    monkeypatch.setattr(advising, "judge_forms", shares)
    found = advice_for(one, text, 130.0, None, POOL, GROUP, free_inputs())
    return {advice.kind: advice.words for advice in found}, judged


@pytest.mark.parametrize(
    ("text", "kept", "words"),
    [
        ("1", {"2": 0.95, "4": 0.99}, "water tempo: 2 counts a movement, full range"),
        ("1", {"2": 0.949, "4": 0.96}, "half water tempo: 4 counts a movement, full range"),
        ("1", {"2": 0.60, "4": 0.81}, "half water tempo: 4 counts a movement keeps 81%"),
        ("2", {"2": 0.99, "4": 0.70}, "half water tempo: 4 counts a movement keeps 70%"),
    ],
)
def test_the_quickest_slower_option_that_keeps_all_is_advised(
    monkeypatch: pytest.MonkeyPatch, text: str, kept: dict[str, float], words: str
) -> None:
    """From 0.95 of the middle person's range on; else the slowest with what it keeps."""
    assert _advice(monkeypatch, kept, form("jack"), text)[0]["tempo option"] == words


@pytest.mark.parametrize(
    ("small", "easier", "told"),
    [
        (0.96, 0.99, "range small: keeps 96%"),  # full first
        (0.94, 0.95, "{easier} instead: keeps 95%"),
        (0.60, 0.70, "{easier} instead: keeps 70%"),  # neither: the better one
        (0.80, 0.70, "range small: keeps 80%"),
    ],
)
def test_the_first_variation_that_keeps_all_is_advised(
    monkeypatch: pytest.MonkeyPatch, small: float, easier: float, told: str
) -> None:
    """The smaller range first, then the easier move; where neither keeps it, the better of both."""
    shares = {f"{EASIER.key} small": small, EASIER.easier: easier}
    words, judged = _advice(monkeypatch, shares, form(EASIER.key), "4")
    name = catalogue().move(EASIER.easier).name.lower()
    assert words == {"variation": told.format(easier=name) + " of its range"}
    assert judged == [f"{EASIER.key} small", EASIER.easier]


def test_what_is_small_already_is_not_made_smaller(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a form of small range only the easier move is left; of one without, nothing is."""
    small = form(EASIER.key, ClassDepth.SHALLOW, (Factor.RANGE, "small"))
    assert _advice(monkeypatch, {}, small, "4")[1] == [EASIER.easier]
    last = next(
        move for move in catalogue().moves.values()
        if move.easier not in catalogue().moves and ClassDepth.SHALLOW in move.depths
    )  # fmt: skip
    alone = form(last.key, ClassDepth.SHALLOW, (Factor.RANGE, "small"))
    assert _advice(monkeypatch, {}, alone, "4") == ({}, [])


def test_an_easier_move_of_other_water_is_not_advised(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each easier move that is judged may be done in the class's water."""
    for move in catalogue().moves.values():
        if ClassDepth.SHALLOW not in move.depths:
            continue
        _, judged = _advice(monkeypatch, {}, form(move.key), "4")
        other = catalogue().moves.get(move.easier)
        fits = other is not None and ClassDepth.SHALLOW in other.depths
        assert judged == [f"{move.key} small"] + ([move.easier] if fits else [])
