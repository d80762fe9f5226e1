"""Draw the order of the parts from the imports in the code, as a Mermaid diagram.

Run ``python docs/figures/make_parts.py`` to renew the figure in docs/architecture.md;
``--check`` only says whether it is up to date.
"""

from __future__ import annotations

import ast
import sys
from itertools import groupby
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "architecture.md"
START, END = "<!-- parts: made by docs/figures/make_parts.py -->\n", "<!-- end of parts -->\n"
BASE = {"errors", "units", "tomltext", "records"}  # every part takes from them: not drawn
APART = {"training", "__main__", "__init__"}


def imports() -> dict[str, set[str]]:
    """Return, for each part, the parts that its files import anywhere."""
    package = ROOT / "aquatempo"
    names = {path.stem for path in package.iterdir() if path.suffix == ".py" or _is_part(path)}
    found: dict[str, set[str]] = {name: set() for name in sorted(names - APART)}
    for file in package.rglob("*.py"):
        part = file.relative_to(package).parts[0].removesuffix(".py")
        if part not in found:
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "aquatempo":
                found[part] |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("aquatempo."):
                found[part].add(str(node.module).split(".")[1])
    return {
        part: {one for one in taken & set(found) if one != part} for part, taken in found.items()
    }


def _is_part(path: Path) -> bool:
    return (path / "__init__.py").exists()


def floors(taken: dict[str, set[str]]) -> dict[str, int]:
    """Return the floor of each part: one above the highest that it takes from."""
    found: dict[str, int] = {}

    def floor(part: str) -> int:
        if part not in found:
            found[part] = 1 + max((floor(one) for one in taken[part]), default=-1)
        return found[part]

    for part in taken:
        floor(part)
    return found


def direct(taken: dict[str, set[str]]) -> dict[str, set[str]]:
    """Return the imports that no longer way through other parts implies."""

    def below(part: str) -> set[str]:
        return taken[part] | {deep for one in taken[part] for deep in below(one)}

    return {
        part: {one for one in some if not any(one in below(other) for other in some - {one})}
        for part, some in taken.items()
    }


def diagram() -> str:
    """Return the Mermaid text: floors from the top, arrows to what a part takes."""
    taken = {part: some - BASE for part, some in imports().items() if part not in BASE}
    level = floors(taken)
    lines = ["```mermaid", "flowchart TD"]
    order = sorted(taken, key=lambda part: (-level[part], part))
    for floor, parts in groupby(order, key=lambda part: level[part]):
        lines.append(f"  subgraph floor{floor} [ ]")
        lines += [f"    {part}" for part in parts]
        lines.append("  end")
    lines.append(f'  base["{", ".join(sorted(BASE))}: taken by all"]')
    for part, some in sorted(direct(taken).items()):
        lines += [f"  {part} --> {one}" for one in sorted(some)]
    return "\n".join([*lines, "```", ""])


def renewed(page: str) -> str:
    """Return the text of the page with the figure as the code now is."""
    before, rest = page.split(START)
    _, after = rest.split(END)
    return before + START + diagram() + END + after


if __name__ == "__main__":
    page = PAGE.read_text(encoding="utf-8")
    if "--check" in sys.argv:
        sys.exit(0 if renewed(page) == page else "docs/architecture.md: the figure is stale")
    PAGE.write_text(renewed(page), encoding="utf-8")
