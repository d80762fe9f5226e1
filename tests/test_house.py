"""Rules of the house that no linter knows."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
FOLDERS = ("aquatempo", "tests", "sample_audio", "docs", ".ci")
TEXT = {".py", ".md", ".toml", ".csv", ".json", ".txt", ".html", ".js", ".css", ".svg", ""}
LONGEST_FILE = 400  # lines
UNFINISHED = re.compile(r"\b(" + "|".join(("TO" + "DO", "FIX" + "ME", "X" * 3)) + r")\b")
# A path of one machine, or the address of a package registry, has no place in the project.
FOREIGN = re.compile(
    r"(?<![\w./-])/(?:"
    + "ro"
    + r"ot|wo"
    + r"rk|ho"
    + r"me)/\w|py"
    + r"pi\.org|npm"
    + r"js\.(?:org|com)"
)
SENTENCE = re.compile(r"\S+(?:\s+\S+){3,}[.!?]\)?$")  # four words or more, and a full stop


def files(*suffixes: str) -> list[Path]:
    """Return the project's own files with these suffixes, caches apart."""
    found = [p for folder in FOLDERS for p in (ROOT / folder).rglob("*") if p.is_file()]
    found += [p for p in ROOT.iterdir() if p.is_file() and p.name != ".git"]  # a linked checkout
    return sorted(p for p in found if p.suffix in suffixes and "__pycache__" not in p.parts)


def shown(path: Path) -> str:
    """Return a path as it stands in the project."""
    return path.relative_to(ROOT).as_posix()


def test_functions(tree: ast.Module) -> list[ast.FunctionDef]:
    """Return the test functions of a module, wherever they stand."""
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]


test_functions.__test__ = False  # type: ignore[attr-defined]


def test_files_stay_short() -> None:
    """No Python file is longer than 400 lines: a longer one holds two ideas."""
    lengths = {shown(path): len(path.read_text("utf-8").splitlines()) for path in files(".py")}
    assert len(lengths) > 300
    assert {name: lines for name, lines in lengths.items() if lines > LONGEST_FILE} == {}


def test_each_test_states_its_promise() -> None:
    """Each test has a docstring of one sentence or more that says what it promises."""
    tests = [
        (shown(path), node)
        for path in files(".py")
        if path.name.startswith("test_")
        for node in test_functions(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert len(tests) > 500
    assert [
        (name, node.name) for name, node in tests
        if not SENTENCE.match(ast.get_docstring(node) or "")
    ] == []  # fmt: skip


def test_nothing_is_left_unfinished_or_tied_to_a_machine() -> None:
    """No file holds a reminder to finish it, a path of one machine or a registry's address."""
    texts = {shown(path): path.read_text(encoding="utf-8") for path in files(*TEXT)}
    assert len(texts) > 400
    assert [
        (name, found[0])
        for name, text in texts.items()
        for pattern in (UNFINISHED, FOREIGN)
        if (found := pattern.search(text))
    ] == []
