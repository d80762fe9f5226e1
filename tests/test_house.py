"""Rules of the house that no linter knows."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

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
    found += [p for p in ROOT.iterdir() if p.is_file()]
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


@pytest.mark.parametrize("path", files(".py"), ids=shown)
def test_files_stay_short(path: Path) -> None:
    """No Python file is longer than 400 lines: a longer one holds two ideas."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


@pytest.mark.parametrize("path", [p for p in files(".py") if p.name.startswith("test_")], ids=shown)
def test_each_test_states_its_promise(path: Path) -> None:
    """Each test has a docstring of one sentence or more that says what it promises."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in test_functions(tree):
        promise = ast.get_docstring(node) or ""
        assert SENTENCE.match(promise), f"{node.name}: {promise!r}"


@pytest.mark.parametrize("path", files(*TEXT), ids=shown)
def test_nothing_is_left_unfinished_or_tied_to_a_machine(path: Path) -> None:
    """No file holds a reminder to finish it, a path of one machine or a registry's address."""
    text = path.read_text(encoding="utf-8")
    for pattern in (UNFINISHED, FOREIGN):
        found = pattern.search(text)
        assert found is None, found
