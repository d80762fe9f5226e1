"""A file that is given where another kind is needed is named for what it is."""

from __future__ import annotations

import pytest

from aquatempo.documents import brief, plan_layout, plan_slips, track_sheet, wishes
from aquatempo.errors import TextFileError
from aquatempo.tomltext import need, read_toml
from aquatempo.tomltext.kinds import SIGNS

KEYS = {
    "a plan": plan_layout.PLAN_KEYS,
    "a brief": brief._KEYS,
    "a track sheet": track_sheet._KEYS,
    "own moves": ("moves", "factors"),
    "favourites": ("favourites",),
    "a coordinator's rules": wishes.RULES_KEYS,
}
TEXTS = {
    "a plan": 'format = "aquatempo/plan/1"\n[brief]\nminutes = 30\n[[tracks]]\ntitle = "Lanes"\n',
    "a brief": "minutes = 30\n[group]\nsize = 8\n",
    "a track sheet": 'title = "Lanes"\ntempo_bpm = 128\nphrases = [32, 32]\n',
    "own moves": '[moves.wade]\nname = "wade"\n',
    "favourites": '[[favourites]]\nname = "waves"\n',
    "a coordinator's rules": "max_rpe = 14\nsongs_after = 3\n",
}


@pytest.mark.parametrize("kind", SIGNS)
def test_signs_are_keys_of_that_kind(kind: str) -> None:
    """Each sign is a key that the reader of its kind knows."""
    assert set(SIGNS[kind]) <= set(KEYS[kind])


@pytest.mark.parametrize("kind", SIGNS)
@pytest.mark.parametrize("needed", SIGNS)
def test_each_kind_in_each_place(kind: str, needed: str) -> None:
    """A file is taken in its own place, and named in each other."""
    toml = read_toml("file.toml", TEXTS[kind])
    if kind == needed or (kind, needed) == ("favourites", "a brief"):  # a brief may hold them
        need(needed, toml)
    else:
        with pytest.raises(TextFileError, match=f"this is {kind}; needed here: {needed}; "):
            need(needed, toml)


@pytest.mark.parametrize("needed", SIGNS)
@pytest.mark.parametrize("text", ["", 'title = "Lanes"\n', "hurry = 1\n"])
def test_without_a_sign_the_reader_says_what_is_wrong(needed: str, text: str) -> None:
    """Nothing is said of a file that has no sign of any kind."""
    need(needed, read_toml("file.toml", text))


def test_as_many_signs_as_another_kind_are_enough() -> None:
    """A slip in a brief leaves it a brief: tempo_bpm is unknown there, and that is told."""
    need("a brief", read_toml("brief.toml", "minutes = 30\ntempo_bpm = 128\n"))


def test_review_tells_a_brief_once() -> None:
    """A brief given to be reviewed is one slip that says where it goes, not one for each line."""
    found = plan_slips.plan_with_slips("tuesday.toml", TEXTS["a brief"])
    assert found.plan is None
    assert [str(slip) for slip in found.slips] == [
        "tuesday.toml: this is a brief; needed here: a plan; a brief goes after --brief: "
        "aquatempo plan MUSIC --brief tuesday.toml"
    ]
