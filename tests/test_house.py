"""Rules of the house that no linter knows."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
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


CACHES = {"__pycache__", ".hypothesis"}


def files(*suffixes: str) -> list[Path]:
    """Return the project's own files with these suffixes, caches apart."""
    found = [p for folder in FOLDERS for p in (ROOT / folder).rglob("*") if p.is_file()]
    found += [p for p in ROOT.iterdir() if p.is_file() and p.name != ".git"]  # a linked checkout
    return sorted(p for p in found if p.suffix in suffixes and not CACHES & {*p.parts})


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


PACKAGE = ROOT / "aquatempo"
ARRAYS = ("NDArray", "Samples", "Array", "Times")
SHAPE = re.compile(r"\bshape\b|\((?:n|frames|times|\.\.\.)\b")


def public_functions(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef, str]]:
    """Yield (name, function, what its docstring and that of its class say)."""
    for node in tree.body:
        if isinstance(node, ast.ClassDef) and node.name.startswith("_"):
            continue
        said = ast.get_docstring(node) or "" if isinstance(node, ast.ClassDef) else ""
        inner = node.body if isinstance(node, ast.ClassDef) else [node]
        for one in inner:
            if isinstance(one, ast.FunctionDef) and not one.name.startswith("_"):
                yield one.name, one, f"{said}\n{ast.get_docstring(one) or ''}"


def silent_on(function: ast.FunctionDef, said: str) -> list[str]:
    """Return the parameters of two or more, and shapes of arrays, that a docstring leaves out."""
    given = function.args
    arguments = [*given.posonlyargs, *given.args, *given.kwonlyargs]
    arguments = [one for one in arguments if one.arg not in ("self", "cls")]
    missing = [one.arg for one in arguments if not re.search(rf"\b{one.arg}\b", said)]
    arrays = [
        one.arg
        for one in arguments
        if one.annotation is not None
        and ast.unparse(one.annotation).split("[")[0].split(".")[-1] in ARRAYS
    ]
    shapeless = [f"shape of {name}" for name in arrays if not SHAPE.search(said)]
    return (missing if len(arguments) > 1 else []) + shapeless


def test_public_docstrings_name_every_parameter() -> None:
    """Each parameter of a public function is named in its docstring, arrays with their shape.

    The docstring of a command is its help, and its options carry their own.
    """
    silent: dict[str, list[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE)
        if inside.parts[0] == "training" or inside.parts[:2] == ("cli", "commands"):
            continue
        for name, function, said in public_functions(ast.parse(path.read_text("utf-8"))):
            if missing := silent_on(function, said):
                silent.setdefault(inside.parts[0], []).append(f"{inside}: {name}: {missing}")
    assert silent == {}
