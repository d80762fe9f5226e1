"""The likely slip of the hand in a line of TOML, and what to write instead."""

from __future__ import annotations

import pytest

from aquatempo.tomltext.slips import likely_slip

OPEN = "the bracket [ opened here is never closed"


@pytest.mark.parametrize(
    ("text", "line", "wanted"),
    [
        ("a = 1", 1, (1, "")),
        ("a = 1,5", 1, (1, "a decimal point, not a comma: a = 1.5")),
        ("a = -1,5", 1, (1, "a decimal point, not a comma: a = -1.5")),
        ("a = 1,5 m", 1, (1, "a number is written without its unit: a = 1.5")),
        ("a = 45min # class", 1, (1, "a number is written without its unit: a = 45")),
        ("a = 29 °C", 1, (1, "a number is written without its unit: a = 29")),
        ("a = 5 m2/x", 1, (1, "a number is written without its unit: a = 5")),
        ("a = 3:20", 1, (1, 'a time needs quotes: a = "3:20"')),
        ("a = 1:03:20", 1, (1, 'a time needs quotes: a = "1:03:20"')),
        ("a = 3:2", 1, (1, "")),
        ("a = Odd Lane", 1, (1, 'text needs quotes: a = "Odd Lane"')),
        ("a = true", 1, (1, "")),
        ("a = nan", 1, (1, "")),
        ('a = "Odd', 1, (1, 'a quote is missing: a = "Odd"')),
        ('a = Odd"', 1, (1, 'a quote is missing: a = "Odd"')),
        ("a =", 1, (1, "nothing stands after a =")),
        ("a = # x", 1, (1, "nothing stands after a =")),
        ("a = [1, 2", 1, (1, OPEN)),
        ("a = [[1, 2", 1, (1, OPEN)),
        ("a = [\n[1\nb = 2", 3, (1, OPEN)),
        ('a = "Odd" "Lane" x', 1, (1, "")),
        ("a = ?[", 1, (1, OPEN)),
        ("a = 5 5", 1, (1, "")),
        ("a = «Odd»", 1, (1, 'curly quotes («): needs straight ones: a = "Odd"')),
        ("# x\n\n  a = ‘Odd’ # “", 3, (3, 'curly quotes (‘): needs straight ones: a = "Odd"')),
        ("a = [\n1\nb = 2", 3, (1, OPEN)),
        ("a = [\n1\n[c]", 3, (1, OPEN)),
        ("a = 1\nb = [[1], [2]\n", None, (2, OPEN)),
        ("a = 1\nb = [[1],\n [2\n]\n", None, (2, OPEN)),
        ('a = "["\nb = [1]\nc = [2', None, (3, OPEN)),
        ("a = ']['\n[t]\n[[u]]\n# [\nb = 1 # [", None, (None, "")),
        ("a = [1]\nb = 2", 9, (9, "")),
        ("a = [1\nb = 2", 9, (1, OPEN)),
        ("", None, (None, "")),
        ("words", 1, (1, "")),
        ("a = [ # [\n]\nwords", 3, (3, "")),
    ],
)  # fmt: skip
def test_the_likely_slip(text: str, line: int | None, wanted: tuple[int | None, str]) -> None:
    """The line of the slip and what to write; nothing where it is none of these."""
    assert likely_slip(text, line) == wanted


def test_long_rows_and_texts_are_not_searched() -> None:
    """A row of 1,000 characters is; of 1,001, and a text of more than 200,000, is not."""
    row = "a = 3:20 #"
    assert likely_slip(row + "x" * (1_000 - len(row)), 1)[1] != ""
    assert likely_slip(row + "x" * (1_001 - len(row)), 1) == (1, "")
    below = "\n" + "x" * 900
    assert likely_slip("a = 3:20" + below * 221 + "\n" * (200_000 - 8 - 901 * 221), 1)[1] != ""
    assert likely_slip("a = 3:20" + "\n" * 199_993, 1) == (1, "")
    assert likely_slip("a = 3:20\n" + "x" * 2_000, 1)[1] != ""
    assert likely_slip("x" * 2_000 + "\na = 3:20", 2) == (2, "")
