"""Which files of a folder aquatempo wrote itself, so that it replaces those and no others."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path

from aquatempo.errors import OutputError
from aquatempo.files import write_whole

__all__ = ["Manifest"]

NAME = ".aquatempo-results.json"
FORMAT = "aquatempo/results/1"


class Manifest:
    """The results in a folder, each with a digest of what was written.

    Names that are about to be written are put down first: a run that is killed in the middle
    leaves files that the next one still knows as its own.
    """

    def __init__(self, folder: Path) -> None:
        """Read what is known of a folder; nothing is of one that was never written to."""
        self._folder = folder
        self._digests: dict[str, str] = {}
        self._pending: set[str] = set()
        try:
            data = json.loads((folder / NAME).read_bytes())
            if data["format"] == FORMAT:
                self._digests = {str(name): str(one) for name, one in data["files"].items()}
                self._pending = {str(name) for name in data["pending"]}
        except (OSError, ValueError, RecursionError, LookupError, TypeError, AttributeError):
            pass  # none, or damaged: then nothing in the folder is known to be ours

    def refuse_foreign(self, paths: Iterable[Path]) -> None:
        """Raise OutputError for the first of the paths where a file is that is not ours.

        A file of ours that was changed since is somebody's work too.
        """
        for path in paths:
            if not path.exists() or self._name(path) in self._pending:
                continue
            known = self._digests.get(self._name(path))
            if known is None:
                reason = "a file is there that aquatempo did not write"
            elif known != _digest(path):
                reason = "the file there was changed since aquatempo wrote it"
            else:
                continue
            raise OutputError(str(path), f"{reason} (choose another folder, or move it away)")

    def begin(self, paths: Iterable[Path]) -> None:
        """Put down that these are about to be written. Raises OutputError."""
        self._pending |= {self._name(path) for path in paths}
        self._save()

    def finish(self, paths: Iterable[Path]) -> None:
        """Put down that these are written, with what is in them. Raises OutputError."""
        for path in paths:
            self._digests[self._name(path)] = _digest(path)
            self._pending.discard(self._name(path))
        self._save()

    def _save(self) -> None:
        data = {
            "format": FORMAT,
            "files": dict(sorted(self._digests.items())),
            "pending": sorted(self._pending),
        }
        write_whole(self._folder / NAME, json.dumps(data, indent=1).encode())

    def _name(self, path: Path) -> str:
        return path.relative_to(self._folder).as_posix()


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, lambda: hashlib.blake2b(digest_size=16)).hexdigest()
