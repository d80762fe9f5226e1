"""The line of one item of a list that stands over several lines of a TOML text."""

from __future__ import annotations

from aquatempo.tomltext.lines import Place, TomlText

__all__ = ["item_line"]


def item_line(toml: TomlText, place: Place) -> int | None:
    r"""Return the 1-based line of an inline table: ``(..., "blocks", 2)``.

    >>> toml = TomlText("plan.toml", "blocks = [\n  { a = 1 },  # one\n  { a = 2 },\n]\n")
    >>> item_line(toml, ("blocks", 1))
    3
    """
    first = toml.line_of(place[:-1])
    wanted = place[-1]
    if first is None or not isinstance(wanted, int):
        return first
    depth, item, quote = 0, -1, ""
    for number, line in enumerate(toml.text.splitlines()[first - 1 :], first):
        escaped = False
        for mark in line:
            if quote:
                if mark == quote and not escaped:
                    quote = ""
                escaped = quote == '"' and mark == "\\" and not escaped
                continue
            if mark == "#":
                break
            if mark in "\"'":
                quote = mark
            elif mark == "{":
                depth += 1
                item += depth == 1
                if item == wanted:
                    return number
            elif mark == "}":
                depth -= 1
    return first
