"""The shape of the package, held by tests: who may import whom, and what is pure."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import aquatempo

PACKAGE = Path(aquatempo.__file__).parent
BASE = {"errors", "units", "records", "tomltext"}
MAY_IMPORT: dict[str, set[str]] = {
    "errors": set(),
    "units": {"errors"},
    "tomltext": {"errors", "units"},
    "records": {"errors", "units"},
    "files": {"errors"},
    "audio": BASE | {"files"},
    "rhythm": BASE,
    "water": BASE,
    "moves": BASE,
    "cues": BASE,
    "exports": BASE,
    "store": BASE | {"files"},
    "feasibility": BASE | {"water", "moves"},
    "figures": BASE | {"water", "moves"},
    "class_shape": BASE | {"moves", "feasibility"},
    "planning": BASE | {"moves", "feasibility", "class_shape"},
    "review": BASE | {"moves", "feasibility", "class_shape"},
    "documents": BASE | {"moves", "class_shape", "store"},
    "music": BASE | {"files", "audio", "rhythm", "exports", "store", "documents"},
    "deck": BASE
    | {"audio", "moves", "feasibility", "figures", "cues", "exports"}
    | {"store", "documents", "music"},
}
LOWER = {*MAY_IMPORT}
MAY_IMPORT |= {
    "workflow": LOWER,
    "interop": BASE | {"exports"},
    "public": LOWER | {"workflow"},
    "cli": BASE | {"files", "documents", "music", "workflow", "web"},
    "web": BASE | {"files", "documents", "music", "workflow"},
}
PURE = {
    *("errors", "units", "tomltext", "records", "rhythm"),
    *("water", "moves", "figures", "feasibility", "class_shape", "planning", "review", "cues"),
}
# Modules through which a file, a process or a socket is reached.
IMPURE_MODULES = {
    *("os", "pathlib", "shutil", "tempfile", "glob", "fileinput", "mmap", "sqlite3"),
    *("socket", "ssl", "http", "urllib", "requests", "ftplib", "smtplib", "asyncio", "selectors"),
    *("subprocess", "multiprocessing", "concurrent", "signal", "soundfile", "av", "audioread"),
}
IMPURE_CALLS = {
    *("open", "read_text", "read_bytes", "write_text", "write_bytes"),
    *("tofile", "fromfile", "memmap", "savetxt", "loadtxt", "genfromtxt", "savez", "save"),
}
ALONE = """
import importlib, sys
for name in sys.argv[1:]:
    for loaded in [m for m in sys.modules if m.split(".")[0] == "aquatempo"]:
        del sys.modules[loaded]
    importlib.import_module(name)
"""


def modules() -> list[Path]:
    """Every module of the package, training apart: it is behind an extra."""
    return [p for p in sorted(PACKAGE.rglob("*.py")) if "training" not in p.parts]


def dotted(path: Path) -> str:
    """Return the import name of a module file."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def part_of(name: str) -> str:
    """Return the part of a dotted name: ``aquatempo.rhythm.bars`` is in ``rhythm``."""
    pieces = name.split(".")
    return pieces[1] if len(pieces) > 1 else ""


def imported(path: Path) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield (module, names) for each import, wherever it stands in the file."""
    package = dotted(path) if path.name == "__init__.py" else dotted(path).rpartition(".")[0]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, ()) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package.split(".")[: len(package.split(".")) - node.level + 1]
            module = ".".join([*base, node.module or ""]).strip(".") if node.level else node.module
            yield module or "", tuple(alias.name for alias in node.names)


def parts_imported(path: Path) -> set[str]:
    """Return the parts of ours that a module imports."""
    found = set()
    for module, names in imported(path):
        if module == "aquatempo":
            found |= {n for n in names if n in MAY_IMPORT or n == "training"}
        elif module.startswith("aquatempo."):
            found.add(part_of(module))
    return found


def top_level_names(tree: ast.Module) -> set[str]:
    """Return the public functions and classes that a module defines."""
    kinds = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
    return {n.name for n in tree.body if isinstance(n, kinds) and not n.name.startswith("_")}


def declared(tree: ast.Module) -> list[str] | None:
    """Return ``__all__`` of a module, None where it has none."""
    for node in tree.body:
        target = (
            node.targets[0]
            if isinstance(node, ast.Assign)
            else node.target
            if isinstance(node, ast.AnnAssign)
            else None
        )
        if isinstance(target, ast.Name) and target.id == "__all__":
            assert isinstance(node, ast.Assign | ast.AnnAssign)
            assert node.value is not None
            return list(ast.literal_eval(node.value))
    return None


def test_imports_follow_the_table() -> None:
    """A part imports only the parts that the table in docs/architecture.md allows it."""
    wrong = {}
    for path in modules():
        part = part_of(dotted(path))
        allowed = {"cli"} if part == "__main__" else MAY_IMPORT.get(part, set()) | {part}
        if not part:  # the package itself: the names that it hands on
            allowed = {*MAY_IMPORT}
        if beyond := parts_imported(path) - allowed:
            wrong[dotted(path)] = sorted(beyond)
    assert wrong == {}


def opened(path: Path) -> Iterator[str]:
    """Yield by what a module reaches files, processes or sockets, packaged tables apart."""
    takes = set(imported(path))
    yield from sorted({module.split(".")[0] for module, _ in takes} & IMPURE_MODULES)
    reads_package_data = ("importlib", ("resources",)) in takes or any(
        module.startswith("importlib.resources") for module, _ in takes
    )
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        if isinstance(node.func, ast.Name):
            if node.func.id in {"open", "exec", "eval", "__import__"}:
                yield f"line {node.lineno}: {node.func.id}"
        elif isinstance(node.func, ast.Attribute) and node.func.attr in IMPURE_CALLS:
            reading = node.func.attr in {"open", "read_text", "read_bytes"}
            if not (reading and reads_package_data):
                yield f"line {node.lineno}: {node.func.attr}"


def test_pure_parts_open_nothing() -> None:
    """A pure part opens no file, process or socket; it reads only tables packaged with it."""
    pure = [path for path in modules() if part_of(dotted(path)) in PURE]
    assert len(pure) > 100
    assert {dotted(path): found for path in pure if (found := list(opened(path)))} == {}


def test_every_part_is_in_the_table() -> None:
    """No folder or module of the package stands outside the import table."""
    found = {part_of(dotted(p)) for p in modules()} - {"", "__main__"}
    assert found <= set(MAY_IMPORT)


def test_nothing_imports_training() -> None:
    """What makes music and trains networks is never needed at run time."""
    assert not [p for p in modules() if "training" in parts_imported(p)]


@pytest.mark.long
def test_every_module_imports_alone() -> None:
    """Each module can be the first one imported: there are no hidden circles."""
    names = [dotted(p) for p in modules() if p.name != "__main__.py"]
    run = subprocess.run(
        [sys.executable, "-c", ALONE, *names], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr


def misdeclared(path: Path) -> set[str]:
    """Return the names that a module exposes and does not list in ``__all__``, or lists wrongly."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = declared(tree) or []
    bound = {n.id for n in ast.walk(tree) if isinstance(n, ast.Name)} | top_level_names(tree)
    bound |= {n for _, taken in imported(path) for n in taken}
    twice = {name for name in names if names.count(name) > 1}
    return twice | (top_level_names(tree) - set(names)) | (set(names) - bound)


def test_all_equals_what_is_exposed() -> None:
    """``__all__`` lists every public function and class of a module, and nothing missing."""
    assert {dotted(path): wrong for path in modules() if (wrong := misdeclared(path))} == {}


# Words that still mean two things, in parts that are being rebuilt; the list only shrinks.
TWICE = {"Block", "Setting"}


def test_a_class_name_means_one_thing() -> None:
    """No two classes of the package, private ones included, share a name."""
    homes: dict[str, list[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef):
                homes.setdefault(node.name.lstrip("_"), []).append(dotted(path))
    twice = {name: found for name, found in homes.items() if len(found) > 1}
    assert {name: found for name, found in twice.items() if name not in TWICE} == {}
    assert set(twice) == TWICE  # a name that got one meaning leaves the list


@cache
def offered(module: str) -> frozenset[str]:
    """Return what a module of ours offers: its ``__all__`` and its submodules."""
    file = PACKAGE.parent.joinpath(*module.split("."))
    source = file.with_suffix(".py") if file.with_suffix(".py").exists() else file / "__init__.py"
    names = declared(ast.parse(source.read_text(encoding="utf-8"))) or ()
    return frozenset(names) | ({p.stem for p in file.iterdir()} if file.is_dir() else set())


def test_only_public_names_cross_modules() -> None:
    """A module takes from another only what that one's ``__all__`` offers, or a submodule."""
    taken = [
        (dotted(path), module, name)
        for path in modules()
        for module, names in imported(path)
        if module.startswith("aquatempo")
        for name in names
    ]
    assert len(taken) > 500
    assert [one for one in taken if one[2] not in offered(one[1])] == []


HEAVY = ("numpy", "scipy", "librosa", "numba", "soundfile", "av", "fpdf", "mido", "ortools")


@pytest.mark.parametrize(
    "code",
    [
        "import aquatempo",
        "import aquatempo.cli",
        "from aquatempo.cli import main; main(['--help'])",
    ],
)
def test_light_start(code: str) -> None:
    """Importing the package, or asking for help, loads no numerical library."""
    report = (
        "import sys\ntry:\n    exec(sys.argv[1])\nexcept SystemExit as leaving:\n"
        "    assert not leaving.code\n"
        f"print('loaded', [m for m in {HEAVY!r} if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", report, code], capture_output=True, text=True, check=True
    )
    assert run.stdout.splitlines()[-1] == "loaded []"


def test_figure_of_the_parts_is_as_the_code_is() -> None:
    """The order of the parts in docs/architecture.md is what the imports say."""
    script = PACKAGE.parent / "docs" / "figures" / "make_parts.py"
    run = subprocess.run(
        [sys.executable, str(script), "--check"], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
