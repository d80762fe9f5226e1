"""Lines of hand-written TOML, values that do not fit, slips of the hand: borders and messages."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from enum import StrEnum
from typing import Any

import pytest

from aquatempo.errors import InputError, TextFileError
from aquatempo.tomltext import TomlTable, read_toml
from aquatempo.tomltext.positions import DEEPEST, LONGEST_KEY, LONGEST_TEXT, Place, TomlText

TEXT = """\
title = "A"  # one
a.b.c = 1
a.b.d = 2
"x y".'z' = 3
list = [1, [2, 3],
  # not this one
  { k = 4, m = [
    5 ] },
]
[one]
p = 1
[one.two]
q = [
]
[[many]]
# a comment
r = 1
[many.inner]
s = 1
[[many.deep]]
t = 1
[[many]]
[[many.deep]]
[[many.deep]]
t = 2
u = { v = { w = 1 } }
"""
LINES = {
    ("title",): 1,
    ("a",): 2,
    ("a", "b"): 2,
    ("a", "b", "c"): 2,
    ("a", "b", "d"): 3,
    ("x y",): 4,
    ("x y", "z"): 4,
    ("list",): 5,
    ("list", 0): 5,
    ("list", 1): 5,
    ("list", 1, 1): 5,
    ("list", 2): 7,
    ("list", 2, "k"): 7,
    ("list", 2, "m"): 7,
    ("list", 2, "m", 0): 8,
    ("one",): 10,
    ("one", "p"): 11,
    ("one", "two"): 12,
    ("one", "two", "q"): 13,
    ("one", "two", "q", 0): 13,
    ("many",): 15,
    ("many", 0): 15,
    ("many", 0, "r"): 17,
    ("many", 0, "inner"): 18,
    ("many", 0, "inner", "s"): 19,
    ("many", 0, "deep"): 20,
    ("many", 0, "deep", 0, "t"): 21,
    ("many", 1): 22,
    ("many", 1, "r"): 22,
    ("many", 1, "deep"): 23,
    ("many", 1, "deep", 0): 23,
    ("many", 1, "deep", 1): 24,
    ("many", 1, "deep", 1, "t"): 25,
    ("many", 1, "deep", 1, "u", "v", "w"): 26,
    ("many", 2): 15,
}


@pytest.mark.parametrize(("place", "line"), LINES.items())
def test_every_place_has_its_line(place: Place, line: int) -> None:
    """Counted by hand; what is missing has the line of the nearest table around it."""
    assert TomlText("a.toml", TEXT).line_of(place) == line


def places(data: Any, at: Place = ()) -> Iterator[Place]:
    """Yield every place of data."""
    for key, value in data.items() if isinstance(data, dict) else enumerate(data):
        yield (*at, key)
        if isinstance(value, dict | list):
            yield from places(value, (*at, key))


def test_the_data_are_those_of_the_standard_library() -> None:
    """Every place that tomllib finds has a line of its own, and no other has."""
    text = TomlText("a.toml", TEXT)
    assert text.data == tomllib.loads(TEXT)
    assert set(places(text.data)) == set(text._lines)
    assert text.line_of(()) is None
    assert text.line_of(("nothing", "here")) is None


def test_an_error_has_file_line_and_place() -> None:
    """All three as attributes, and in its text."""
    error = TomlText("a.toml", TEXT).error(("one", "p"), "so not")
    assert (error.path, error.line, error.place) == ("a.toml", 11, ("one", "p"))
    assert str(error) == "a.toml, line 11: so not"


def test_a_text_may_be_as_long_as_a_megabyte() -> None:
    """One character more is refused, with how many there are."""
    head = "a = 1 #"
    TomlText("a.toml", head + "x" * (LONGEST_TEXT - len(head)))
    with pytest.raises(TextFileError) as caught:
        TomlText("a.toml", head + "x" * (LONGEST_TEXT + 1 - len(head)))
    assert caught.value.problem == ("1048577 characters: needs 1048576 at most (another file?)")
    assert caught.value.line is None


def test_tables_lie_sixteen_deep_at_most() -> None:
    """The whole text is the first level."""

    def deep(levels: int) -> str:
        return "a = " + "[" * (levels - 1) + "]" * (levels - 1)

    assert TomlText("a.toml", deep(DEEPEST)).data
    with pytest.raises(TextFileError, match="nested more than 16 deep: nothing that is read here"):
        TomlText("a.toml", deep(DEEPEST + 1))
    with pytest.raises(TextFileError, match="nested more than 16 deep"):
        TomlText("a.toml", "a = " + "{b = " * DEEPEST + "1" + "}" * DEEPEST)


def test_a_key_has_a_hundred_parts_at_most() -> None:
    """Its line is told; the same in quotes; dots in texts and lists are none."""
    assert LONGEST_KEY == 100
    for mark in ("a", '"a.b"'):
        with pytest.raises(TextFileError, match="a key of more than 100 parts") as caught:
            TomlText("a.toml", "b = 1\n" + ".".join([mark] * 130) + " = 1")
        assert caught.value.line == 2
    assert TomlText("a.toml", 'a = "' + ". " * 300 + '"').data
    assert TomlText("a.toml", "a = [" + "1.5, " * 300 + "]").data
    with pytest.raises(TextFileError, match="nested more than 16 deep"):
        TomlText("a.toml", ".".join(["a"] * 100) + " = 1")


class Kind(StrEnum):
    """Two names."""

    ONE = "one"
    TWO = "two"


VALUES = """\
text = "words"
whole = 3
part = 2.5
yes = true
some = ["a", "b"]
none = []
span = "2-3"
spans = [2, 3]
kinds = ["one", "two"]
kind = "two"
numbers = [1, 2.5]
rows = [{ a = 1 }, { a = 2 }]
bare = [1, { a = 2 }]
[inner]
a = 1
"""


def table(text: str = VALUES) -> TomlTable:
    """Return a text as a table."""
    return read_toml("a.toml", text)


def test_values_that_fit_are_read() -> None:
    """Each getter with a value that is there."""
    toml = table()
    assert (toml.text("text"), toml.texts("some"), toml.texts("none")) == ("words", ("a", "b"), ())
    assert (toml.number("whole", 3, 3), toml.number("part", 2.5, 9), toml.whole("whole", 0, 3)) == (
        3.0, 2.5, 3,
    )  # fmt: skip
    assert isinstance(toml.number("whole", 0, 9), float)
    assert (toml.flag("yes"), toml.flag("missing")) == (True, False)
    assert (toml.span("span", 2, 3, "m"), toml.span("spans", 1, 4, "m")) == ((2, 3), (2, 3))
    assert (toml.choice("kind", Kind), toml.choices("kinds", Kind)) == (Kind.TWO, tuple(Kind))
    assert toml.numbers("numbers", 1, 2.5) == (1.0, 2.5)
    assert [one.whole("a", 0, 9) for one in toml.tables("rows")] == [1, 2]
    assert [one.whole("a", 0, 9) for one in toml.tables("bare", bare="a")] == [1, 2]
    assert toml.table("inner").whole("a", 0, 9) == 1
    assert ("text" in toml, "words" in toml) == (True, False)


def test_what_is_missing_is_as_usual() -> None:
    """The usual value, an empty list, an empty table."""
    toml = table("")
    assert (toml.text("a", "x"), toml.number("a", 1, 9, "m", 4), toml.whole("a", 1, 9, "", 4)) == (
        "x", 4.0, 4,
    )  # fmt: skip
    assert (toml.word("a", ("x", "y"), "y"), toml.choice("a", Kind, Kind.ONE)) == ("y", Kind.ONE)
    assert (toml.texts("a"), toml.numbers("a", 0, 1), toml.tables("a")) == ((), (), ())
    assert toml.table("a").data == {}
    assert toml.text("a", "") == ""
    assert toml.number("a", 0, 1, "", 0.0) == 0.0


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('a = "3"', "a '3': needs 1 to 9 m (without quotes?)"),
        ('a = "3.5"', "a '3.5': needs 1 to 9 m (without quotes?)"),
        ('a = " 3 "', "a ' 3 ': needs 1 to 9 m (without quotes?)"),
        ('a = "3 m"', "a '3 m': needs 1 to 9 m (without quotes and unit?)"),
        ('a = "3.5.5"', "a '3.5.5': needs 1 to 9 m (without quotes and unit?)"),
        ('a = "x3"', "a 'x3': needs 1 to 9 m"),
        ("a = true", "a True: needs 1 to 9 m"),
        ("a = [1]", "a [1]: needs 1 to 9 m"),
        ("a = 0.99", "a 0.99: needs 1 to 9 m"),
        ("a = 9.01", "a 9.01: needs 1 to 9 m"),
        ("a = 1e300", "a beyond all numbers: needs 1 to 9 m"),
        ("a = -1e301", "a beyond all numbers: needs 1 to 9 m"),
        ("a = 1e299", "a 1e+299: needs 1 to 9 m"),
        ("b = 1", "no a: needs a = 1 to 9 m"),
    ],
)
def test_a_number_that_does_not_fit(text: str, told: str) -> None:
    """What was seen, what is needed, and the likely slip."""
    with pytest.raises(TextFileError) as caught:
        table(text).number("a", 1, 9, "m")
    assert caught.value.problem == told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('a = "6"', "a '6': needs one of one, two"),
        ("a = 6", "a 6: needs text in quotes, one of one, two"),
        ("b = 6", "no a: needs a = one of one, two"),
    ],
)
def test_a_word_that_is_unknown(text: str, told: str) -> None:
    """The known ones are told."""
    with pytest.raises(TextFileError) as caught:
        table(text).word("a", Kind)
    assert caught.value.problem == told


def test_a_single_word_that_is_known() -> None:
    """A format, say, is told without a list; an empty word has quotes."""
    with pytest.raises(TextFileError, match=r"^a\.toml, line 1: a 'x': needs f1$"):
        table('a = "x"').word("a", ("f1",))
    with pytest.raises(TextFileError, match=r"a 'x': needs one of \"\", f1$"):
        table('a = "x"').word("a", ("", "f1"))


@pytest.mark.parametrize(
    ("value", "fits"),
    [
        ('"2-3"', True), ("[2, 3]", True), ('"2"', True), ("[2, 2]", True), ('"3-2"', False),
        ("[2]", False), ("[1, 2, 3]", False), ('"1.9-3"', False), ('"2-3.1"', False), ("5", False),
        ('"low"', False), ("[]", False), ('["2", "3"]', True),
    ],
)  # fmt: skip
def test_a_range_has_two_ends_in_order(value: str, fits: bool) -> None:
    """From 2 to 3 here, at both borders."""
    toml = table(f"a = {value}")
    if fits:
        low, high = toml.span("a", 2, 3, "m")
        assert 2 <= low <= high <= 3
    else:
        with pytest.raises(TextFileError, match=r'needs a range of 2 to 3 m, as "2-3"$'):
            toml.span("a", 2, 3, "m")


@pytest.mark.parametrize("value", ['["one", "one"]', "[]", '["six"]', '["one", "six"]'])
def test_names_of_a_list_are_known_and_stand_once(value: str) -> None:
    """A list has at least one of them, none twice, none unknown."""
    with pytest.raises(TextFileError, match=r"a .*needs .*one, two"):
        table(f"a = {value}").choices("a", Kind)


@pytest.mark.parametrize(
    ("read", "told"),
    [
        (lambda t: t.numbers("text", 0, 9), "text 'words': needs a list of numbers, such as [1.5"),
        (lambda t: t.texts("numbers"), "numbers [1, 2.5]: needs a list of texts, such as ["),
        (lambda t: t.flag("text"), "text 'words': needs true or false"),
        (lambda t: t.whole("part", 0, 9), "part 2.5: needs a whole number"),
        (lambda t: t.tables("text"), "text: needs a list of tables, as [[text]]"),
        (lambda t: t.tables("bare"), "bare: needs a list of tables, as [[bare]]"),
        (lambda t: t.table("bare"), "bare [1, {'a': 2}]: needs a table of keys, as [bare]"),
        (lambda t: list(t.inner()), "text 'words': needs a table of keys, as [text]"),
        (lambda t: t.text("whole"), "whole 3: needs text in quotes"),
    ],
)  # fmt: skip
def test_a_value_of_another_kind(read: Any, told: str) -> None:
    """What was seen and what is needed."""
    with pytest.raises(TextFileError) as caught:
        read(table())
    assert caught.value.problem.startswith(told)


def test_tables_know_where_they_stand() -> None:
    """Name, file and line of a table, of an item of a list, of the whole text."""
    toml = table(TEXT)
    assert (toml.name, toml.path, toml.line_of()) == ("file", "a.toml", None)
    second = toml.tables("many")[1]
    assert (second.name, second.line_of(), second.line_of("deep", 1, "t")) == ("many", 22, 25)
    assert second.tables("deep")[1].error("t", "so not").line == 25
    assert second.error(None, "so not").line == 22
    assert [(key, one.line_of()) for key, one in table("[a]\n[b]\n").inner()] == [
        ("a", 1), ("b", 2),
    ]  # fmt: skip


def test_a_table_that_is_written_as_a_list_has_its_line() -> None:
    """``[[pool]]`` for ``[pool]`` is told where it stands, the first of them."""
    with pytest.raises(TextFileError, match=r"needs a table of keys, as .pool.$") as caught:
        table("a = 1\n[[pool]]\nb = 1\n[[pool]]\n").table("pool")
    assert caught.value.line == 2


def test_keys_that_are_known_are_passed() -> None:
    """The first that is not is told with those that are."""
    table("a = 1\nb = 2\n").know(("a", "b", "c"))
    with pytest.raises(TextFileError) as caught:
        table("a = 1\nb = 2\n").know(("a", "c"))
    assert (caught.value.line, caught.value.problem) == (2, "unknown key 'b'; known here: a, c")


def test_a_text_that_is_no_toml_has_the_line_of_the_reader() -> None:
    """Where no slip is recognised the words of the standard library stand, without its place."""
    with pytest.raises(TextFileError) as caught:
        TomlText("a.toml", "a = 1\n\nb = 07\n")
    assert caught.value.line == 3
    assert caught.value.problem.startswith("not valid TOML: ")
    assert "(at line" not in caught.value.problem


def test_errors_inside_a_name_get_its_line_once() -> None:
    """One that has a line already keeps it."""
    toml = table()
    with pytest.raises(TextFileError) as caught, toml.naming("numbers", 1):
        raise InputError("so not")
    assert (caught.value.line, caught.value.problem) == (11, "so not")
    with pytest.raises(TextFileError) as caught, toml.naming("numbers"):
        raise TextFileError("b.toml", 7, "other")
    assert (caught.value.path, caught.value.line) == ("b.toml", 7)


@pytest.mark.parametrize(
    ("told", "minutes"),
    [
        ("45 min", 45), ("45min.", 45), ("45 minutes", 45), ("45 Minuten", 45), ("1h", 60),
        ("1:05 h", 65), ("1:59 h", 119), ("2 h 5 min", 125), ("2h 59min", 179), ("1.5 h", 90),
        ("0,5 h", 30), (" 20 min ", 20),
    ],
)  # fmt: skip
def test_minutes_as_people_write_them(told: str, minutes: float) -> None:
    """Hours are 60 of them."""
    assert table(f'a = "{told}"').number("a", 1, 180, "min") == minutes


@pytest.mark.parametrize("told", ["1:05 h 5 min", "1:60 h", "1 h 60 min", "1 m", "min", "0 min"])
def test_minutes_that_nobody_can_tell(told: str) -> None:
    """Two of one thing, more than an hour has, none at all."""
    with pytest.raises(TextFileError, match="needs 1 to 180 min"):
        table(f'a = "{told}"').number("a", 1, 180, "min")
    with pytest.raises(TextFileError, match="needs 1 to 180 s"):
        table('a = "45 min"').number("a", 1, 180, "s")
