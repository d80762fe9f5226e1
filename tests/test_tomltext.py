"""Lines of values in TOML that people write by hand."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from enum import StrEnum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aquatempo.errors import InputError, TextFileError
from aquatempo.tomltext import TomlTable, read_toml
from aquatempo.tomltext.positions import Place, TomlText

TEXT = """\
title = "Lindenbad"   # a comment with = and [brackets]

[pool]
depth_m = 1.2
words = \"\"\"
[not.a.table]
neither = 1
\"\"\"

[[tracks]]
title = "one"
phrases = [
  32,
  8,
]

[[tracks.notes]]
text = "a"

[[tracks]]
"title" = "two"

[[tracks.notes]]
text = "b"
[[tracks.notes]]
text = "c"

[deep.er]
"a key".b = { c = 1 }
"""


@pytest.mark.parametrize(
    ("place", "line"),
    [
        (("title",), 1),
        (("pool", "depth_m"), 4),
        (("pool", "missing"), 3),
        (("tracks", 0, "title"), 11),
        (("tracks", 0, "phrases"), 12),
        (("tracks", 0, "phrases", 1), 14),
        (("tracks", 0, "notes", 0, "text"), 18),
        (("tracks", 1, "title"), 21),
        (("tracks", 1, "notes", 1, "text"), 26),
        (("nothing",), None),
        (("deep",), 28),
        (("deep", "er"), 28),
        (("deep", "er", "a key", "b", "c"), 29),
    ],
)
def test_each_value_is_found_on_its_line(place: tuple[str | int, ...], line: int | None) -> None:
    """A place gives its own line, else that of the nearest table around it."""
    assert TomlText("class.toml", TEXT).line_of(place) == line


def test_bad_syntax_names_file_and_line() -> None:
    """A text that is not TOML is refused with its line."""
    with pytest.raises(TextFileError, match=r"class\.toml, line 2: not valid TOML") as caught:
        TomlText("class.toml", 'title = "x"\nlength = 3:20\n')
    assert caught.value.line == 2


def test_braces_in_texts_and_comments_are_no_items() -> None:
    """Items of a list are told by their own braces, wherever others stand."""
    text = 'blocks = [ # { no\n  { words = "{ no }" },\n  { vary = { a = 1 } }, { b = 2 },\n]\n'
    toml = TomlText("p", text)
    assert [toml.line_of(("blocks", index)) for index in range(3)] == [2, 3, 3]
    assert toml.line_of(("blocks", 1, "vary", "a")) == 3


@st.composite
def documents(draw: st.DrawFn) -> tuple[str, dict[Place, int]]:
    """Draw a text of tables, some repeated, and the line of each key that was written."""
    lines: list[str] = []
    places: dict[Place, int] = {}
    seen: dict[str, int] = {}
    names = st.sampled_from(["a", "b", "a b", "c.d", "é", '"'])
    values = st.sampled_from(["1", '"x # y"', "[\n 1, # [\n 2,\n]", '"""\n[a]\n"""', "{ a = [1] }"])
    for number in range(draw(st.integers(0, 4))):
        table, repeated = f"t{number}", draw(st.booleans())
        for _ in range(draw(st.integers(1, 3)) if repeated else 1):
            lines += ["# a comment [x]", f"[[{table}]]" if repeated else f"[{table}]"]
            holder: Place = (table, seen.get(table, 0)) if repeated else (table,)
            seen[table] = seen.get(table, 0) + 1
            for name in draw(st.lists(names, unique=True, max_size=4)):
                places[*holder, name] = len("\n".join(lines).split("\n")) + 1
                lines.append(f"{json.dumps(name, ensure_ascii=False)} = {draw(values)}")
    return "\n".join(lines), places


@given(documents())
def test_every_key_is_found_however_it_is_written(made: tuple[str, dict[Place, int]]) -> None:
    """Quoted keys, repeated tables, lists and texts over several lines: each key has its line."""
    text, places = made
    toml = TomlText("any.toml", text)
    assert {place: toml.line_of(place) for place in places} == places


TABLE = """\
words = 5
size = "big"
share = 1.5
half = 0.5
truth = 1
kind = "frog"
kinds = ["one", "one"]
range = "9-3"
times = [1.0, "x"]
inside = 3
rows = [1]
"""


class Kind(StrEnum):
    """Two names."""

    ONE = "one"
    TWO = "two"


@pytest.mark.parametrize(
    ("read", "line", "problem"),
    [
        (lambda t: t.text("words"), 1, "words 5: needs text in quotes"),
        (lambda t: t.text("none"), None, "no none: needs none = text"),
        (lambda t: t.texts("words"), 1, 'words 5: needs a list of texts, such as ["a", "b"]'),
        (lambda t: t.number("size", 0, 9, "m"), 2, "size 'big': needs 0 to 9 m"),
        (lambda t: t.number("share", 0, 1), 3, "share 1.5: needs 0 to 1"),
        (lambda t: t.number("truth", 2, 3, "m"), 5, "truth 1: needs 2 to 3 m"),
        (lambda t: t.whole("half", 0, 3), 4, "half 0.5: needs a whole number"),
        (lambda t: t.flag("truth"), 5, "truth 1: needs true or false"),
        (lambda t: t.word("kind", ("", "toad")), 6, "kind 'frog': needs one of \"\", toad"),
        (lambda t: t.choice("kind", Kind), 6, "kind 'frog': needs one of one, two"),
        (lambda t: t.choices("kinds", Kind), 7, "kinds needs at least one of, each once: one, two"),
        (lambda t: t.span("range", 0, 9, "m"), 8, 'needs a range of 0 to 9 m, as "0-9"'),
        (lambda t: t.numbers("times", 0, 9, "s"), 9, "times 'x': needs 0 to 9 s"),
        (lambda t: t.table("inside"), 10, "inside 3: needs a table of keys, as [inside]"),
        (lambda t: t.tables("rows"), 11, "rows: needs a list of tables, as [[rows]]"),
        (lambda t: t.know(("words", "size")), 3, "unknown key 'share'; known here: words, size"),
    ],
)
def test_a_value_that_does_not_fit_is_told_with_its_line(
    read: Callable[[TomlTable], object], line: int | None, problem: str
) -> None:
    """Each getter says where, what was seen and what is needed."""
    with pytest.raises(TextFileError) as caught:
        read(read_toml("class.toml", TABLE))
    assert (caught.value.line, problem in caught.value.problem) == (line, True), caught.value


def test_errors_of_others_get_the_line_of_their_value() -> None:
    """What an InputError inside ``naming`` says is told at the line of the key."""
    table = read_toml("class.toml", TABLE)
    with pytest.raises(TextFileError, match=r"class\.toml, line 8: so not"), table.naming("range"):
        raise InputError("so not")


def test_a_table_over_another_keeps_its_own_lines() -> None:
    """Values of the table below hold where the upper one is silent; lines are the upper one's."""
    table = read_toml("own.toml", TABLE).over({"words": "below", "more": "from below"})
    assert (table.text("more"), table.data["words"]) == ("from below", 5)
    assert table.line_of("words") == 1


HOSTILE = {
    "a key of 20,000 parts": ".".join("a" * 20_000) + " = 1",
    "a table of 20,000 parts": "[" + ".".join("a" * 20_000) + "]",
    "quoted parts": ".".join(['"a b"'] * 20_000) + " = 1",
    "100,000 lists": "a = " + "[" * 100_000,
    "5,000 tables": "a = " + "{b=" * 5_000,
    "20 lists": "a = " + "[" * 20 + "]" * 20,
    "a number of 5,000 digits": "a = " + "9" * 5_000,
    "20,000 blanks": "a = 1" + " " * 20_000 + "x",
    "20,000 blanks before a table": "[" + " " * 20_000 + "x",
    "a million lines": "a = 1\n" * 1_000_000,
    "binary": "\0" * 1000,
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_is_refused_at_once(text: str) -> None:
    """Texts that are deep, long or odd beyond reason are refused within a moment."""
    started = time.process_time()
    with pytest.raises(TextFileError):
        read_toml("a.toml", text)
    assert time.process_time() - started < 2.0  # seconds; unlimited, the first takes 20


def test_long_texts_of_people_are_read() -> None:
    """Many short sentences, long lists of decimals and a deep plan are no hostile text."""
    prose = "Left. Right. " * 100
    decimals = ", ".join(f"{number}.5" for number in range(5_000))
    table = read_toml("a.toml", f'notes = "{prose}"\nbeats = [{decimals}]\n[a.b.c.d.e]\nf = 1\n')
    assert table.text("notes") == prose
    assert len(table.numbers("beats", 0, 1e9)) == 5_000


@pytest.mark.parametrize("value", ["9" * 4_000, "-1e400", "nan", "inf"])
def test_numbers_beyond_all_use_are_refused(value: str) -> None:
    """A number that no float holds, or that is none, is outside every range."""
    with pytest.raises(TextFileError, match="a "):
        read_toml("a.toml", f"a = {value}").number("a", 0, 10)


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("a = 1\ntitle = “Lanes”\n", 2, 'curly quotes (“): needs straight ones: title = "Lanes"'),
        ("phrases = [32, 32\n", 1, "the bracket [ opened here is never closed"),
        ("a = 1\nphrases = [32,\n  32\nb = 2\n", 2, "the bracket [ opened here is never closed"),
        ("minutes = 45 min\n", 1, "a number is written without its unit: minutes = 45"),
        ("tempo_bpm = 132,5\n", 1, "a decimal point, not a comma: tempo_bpm = 132.5"),
        ("length = 3:20\n", 1, 'a time needs quotes: length = "3:20"'),
        ("title = Lanes at night\n", 1, 'text needs quotes: title = "Lanes at night"'),
        ('title = "Lanes\nb = 2\n', 1, 'a quote is missing: title = "Lanes"'),
        ("minutes =\n", 1, "nothing stands after minutes ="),
    ],
)
def test_a_slip_of_the_hand_is_named_with_what_to_write(text: str, line: int, told: str) -> None:
    """What people write by hand is understood well enough to say how it is written."""
    with pytest.raises(TextFileError) as caught:
        read_toml("class.toml", text)
    assert caught.value.line == line
    assert told in str(caught.value)


def test_a_number_with_its_unit_in_quotes_is_told_so() -> None:
    """``"132 bpm"`` where a number is needed: without quotes and unit."""
    with pytest.raises(TextFileError, match="without quotes and unit"):
        read_toml("class.toml", 'tempo = "132 bpm"\n').number("tempo", 1, 180, "bpm")


@pytest.mark.parametrize(
    ("told", "minutes"),
    [("45 min", 45), ("1:10 h", 70), ("1 h", 60), ("1 h 5 min", 65), ("7.5min", 7.5),
     ("90 minutes", 90), ("1,5 h", 90), ("1 Std. 10 Min.", 70)],
)  # fmt: skip
def test_a_length_in_minutes_is_taken_as_people_write_it(told: str, minutes: float) -> None:
    """Minutes with their unit, hours, hours and minutes: whatever can mean one thing only."""
    table = read_toml("class.toml", f'minutes = "{told}"\n')
    assert table.number("minutes", 1, 180, "min") == minutes


@pytest.mark.parametrize("told", ["1:10", "1:70 h", "45 s", "long", "45 min too", "1 h 70 min"])
def test_a_length_that_can_mean_two_things_is_refused(told: str) -> None:
    """``"1:10"`` is an hour and ten or a minute and ten: that is asked, not guessed."""
    with pytest.raises(TextFileError, match="needs 1 to 180 min"):
        read_toml("class.toml", f'minutes = "{told}"\n').number("minutes", 1, 180, "min")
