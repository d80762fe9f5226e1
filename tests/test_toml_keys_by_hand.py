"""Keys of many parts, and slips that lie before the line where reading stopped."""

from __future__ import annotations

import pytest

from aquatempo.tomltext.positions import _deeper_than, _has_long_key
from aquatempo.tomltext.slips import likely_slip

WORD = ["a"]


@pytest.mark.parametrize(
    ("parts", "long"),
    [
        (WORD * 100, False),
        (WORD * 101, True),
        (["two words", *WORD * 100], False),
        (["two words", *WORD * 101], True),
        ([*WORD * 60, "two words", *WORD * 60], False),
        ([*WORD * 60, "1, 2", *WORD * 60], False),
        ([*WORD * 60, "1,2", *WORD * 60], False),
        ([*WORD * 60, '"in. quotes"', *WORD * 40], True),
        ([*WORD * 60, "'in. quotes'", *WORD * 39], False),
        ([*WORD * 60, "", *WORD * 60], False),
    ],
)
def test_a_key_has_100_parts_at_most(parts: list[str], long: bool) -> None:
    """Single words in a row are counted; what is quoted is one, other text begins anew."""
    assert _has_long_key(".".join(parts)) is long


@pytest.mark.parametrize(
    ("data", "depth"), [({}, 1), ({"a": 1}, 1), ({"a": [1]}, 2), ([{"a": [[]]}, 2], 4)]
)
def test_depth_of_tables_and_lists(data: object, depth: int) -> None:
    """Tables and lists inside others count a level each; an empty one as well."""
    assert _deeper_than(depth - 1, data)
    assert not _deeper_than(depth, data)


@pytest.mark.parametrize(
    ("text", "line", "wanted"),
    [
        ("a = 1 $\nb = [\n", 1, (1, "")),
        ("a = 1 $\nb = 2\nc = [\n", 2, (2, "")),
        ("b = [\na = 1 $\n", 2, (1, "the bracket [ opened here is never closed")),
    ],
)
def test_a_bracket_is_looked_for_before_the_line(
    text: str, line: int, wanted: tuple[int, str]
) -> None:
    """What is opened only after the line cannot have stopped the reading."""
    assert likely_slip(text, line) == wanted
