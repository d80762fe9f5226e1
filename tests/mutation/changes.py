"""All changes that cosmic-ray's operators can make to a part, and a module under one of them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any

from cosmic_ray.ast import get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "aquatempo"


@dataclass(frozen=True)
class Part:
    """A part of the code."""

    name: str
    code: tuple[Path, ...]


@dataclass(frozen=True, order=True)
class Change:
    """The occurrence-th place of an operator in a file. line: 1-based."""

    part: str
    file: str
    operator: str
    occurrence: int
    line: int = field(compare=False)


def parts() -> tuple[tuple[Part, ...], tuple[str, ...], tuple[Path, ...]]:
    """Return the parts, the operators that are used, and the test files that are asked.

    Raises ValueError for code that is not there.
    """
    table = tomllib.loads(Path(__file__).with_name("parts.toml").read_text(encoding="utf-8"))
    found = []
    for name, given in table["parts"].items():
        there = [PACKAGE / path for path in given]
        if not all(path.exists() for path in there):
            raise ValueError(f"part {name}: code that is not there")
        code = [
            file
            for path in there
            for file in (sorted(path.rglob("*.py")) if path.is_dir() else [path])
            if file.name != "__init__.py"
        ]
        found.append(Part(name, tuple(code)))
    wanted = re.compile("|".join(table["operators"]))
    operators = tuple(name for name in operator_names() if wanted.search(name))
    left_out = {file for glob in table["not_asked"] for file in ROOT.glob(f"tests/test_{glob}.py")}
    tests = sorted(set(ROOT.glob("tests/test_*.py")) - left_out)
    return tuple(found), operators, tuple(tests)


def changes_to(part: Part, operators: tuple[str, ...]) -> Iterator[Change]:
    """Yield each change that the operators can make to a part, decorators left out.

    What stands in those is how records are frozen, which a test holds for all at once, and how
    much a cache keeps, which no result can show.
    """
    for file in part.code:
        tree = get_ast(file.read_text(encoding="utf-8"))
        nodes = list(_walk(tree))
        for name in operators:
            operator = get_operator(name)()
            occurrence = 0
            for node, decorates in nodes:
                for start, _ in operator.mutation_positions(node):
                    shown = file.relative_to(ROOT).as_posix()
                    if not decorates:
                        yield Change(part.name, shown, name, occurrence, start[0])
                    occurrence += 1


def _walk(node: Any, decorates: bool = False) -> Iterator[tuple[Any, bool]]:
    decorates = decorates or node.type == "decorator"
    yield node, decorates
    for child in getattr(node, "children", ()):
        yield from _walk(child, decorates)


def changed(change: Change) -> str:
    """Return the source of a file under a change."""
    source = (ROOT / change.file).read_text(encoding="utf-8")
    code: str | None = mutate_code(source, get_operator(change.operator)(), change.occurrence)
    assert code is not None, f"{change} is not there"
    return code


class Changed(SourceFileLoader):
    """Loads one module of the package from changed source, and leaves its file alone."""

    def __init__(self, change: Change) -> None:
        self.module = change.file.removesuffix(".py").replace("/", ".")
        self.file, self.text = str(ROOT / change.file), changed(change)
        super().__init__(self.module, self.file)

    def get_code(self, fullname: str) -> CodeType:
        """Return the changed code. fullname: of the module."""
        return compile(self.text, self.file, "exec", dont_inherit=True)

    def find_spec(
        self, fullname: str, path: object = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Offer the changed module to the import system, and no other."""
        if fullname != self.module:
            return None
        return spec_from_file_location(fullname, self.file, loader=self)
