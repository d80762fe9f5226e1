"""Lines of values in TOML that people write by hand."""

from __future__ import annotations

import pytest

from aquatempo.errors import TextFileError
from aquatempo.tomltext.lines import TomlText

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
"""


@pytest.mark.parametrize(
    ("place", "line"),
    [
        (("title",), 1),
        (("pool", "depth_m"), 4),
        (("pool", "missing"), 3),
        (("tracks", 0, "title"), 11),
        (("tracks", 0, "phrases"), 12),
        (("tracks", 0, "phrases", 1), 12),
        (("tracks", 0, "notes", 0, "text"), 18),
        (("tracks", 1, "title"), 21),
        (("tracks", 1, "notes", 1, "text"), 26),
        (("nothing",), None),
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


def test_an_unknown_key_is_named_with_those_that_are_known() -> None:
    """A misspelt key is refused where it stands."""
    text = TomlText("class.toml", "[pool]\ndepth = 1\n")
    with pytest.raises(TextFileError, match=r"line 2: unknown key 'depth'; known here: depth_m"):
        text.check_keys(("pool",), text.data["pool"], ("depth_m",))
