"""Plans that the page keeps, each in a folder of its own: every state a file, none lost.

``plan.toml`` is the state in force, in the form that the command line reads; ``state_0001``
and on are those before and after it.
"""

from __future__ import annotations

import json
import re
import secrets
import shutil
from pathlib import Path

from aquatempo.errors import InputError
from aquatempo.files import write_whole
from aquatempo.records.plain import from_plain, to_plain
from aquatempo.records.plan_page import PlanHead, PlanKind, PlanStep
from aquatempo.store.files import read_text
from aquatempo.store.folders import data_folder

__all__ = [
    "drop_plan_folder",
    "kept_plans",
    "new_plan_folder",
    "plan_folder",
    "read_head",
    "read_state",
    "write_state",
]

_ID = re.compile(r"[0-9a-f]{12}")


def kept_plans() -> tuple[str, ...]:
    """Return the ids of the plans that are kept, the last changed first."""
    root = _root()
    found = [one for one in root.glob("*/plan.toml") if _ID.fullmatch(one.parent.name)]
    found.sort(key=lambda one: one.stat().st_mtime, reverse=True)
    return tuple(one.parent.name for one in found)


def new_plan_folder() -> str:
    """Return an id for a plan that is not there yet."""
    return secrets.token_hex(6)


def plan_folder(key: str) -> Path:
    """Return the folder of a plan that is kept. Raises InputError for any other id."""
    if not _ID.fullmatch(key) or not (_root() / key / "plan.toml").is_file():
        raise InputError("this plan is not there (was it removed?)")
    return _root() / key


def write_state(key: str, head: PlanHead, text: str) -> None:
    """Keep a state of a plan, by its key, and put it in force. Raises OutputError.

    head: its history; text: of the state at head.at.
    """
    folder = _root() / key
    write_whole(folder / f"state_{head.at:04d}.toml", text.encode())
    write_whole(folder / "head.json", json.dumps(to_plain(head)).encode())
    write_whole(folder / "plan.toml", text.encode())


def read_head(key: str) -> PlanHead:
    """Return the history of a plan; where it is lost, the state in force is all there is."""
    try:
        data = json.loads((plan_folder(key) / "head.json").read_bytes())
        return from_plain(PlanHead, data)
    except (OSError, ValueError, InputError):
        text = read_text(plan_folder(key) / "plan.toml", as_input=False)
        write_whole(plan_folder(key) / "state_0000.toml", text.encode())
        return PlanHead((PlanStep(PlanKind.OPENED),))


def read_state(key: str, number: int) -> str:
    """Return the text of a state. Raises TextFileError.

    key: of the plan; number: of the state, from 0.
    """
    return read_text(plan_folder(key) / f"state_{number:04d}.toml", as_input=False)


def drop_plan_folder(key: str) -> None:
    """Remove a plan and its history for good."""
    shutil.rmtree(plan_folder(key))


def _root() -> Path:
    return data_folder() / "plans"
