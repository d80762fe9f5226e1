"""The exceptions that aquatempo raises on purpose.

Every message has up to three parts: what was seen, what is needed, the likely
slip. Facts travel as attributes, so that callers need not parse a message::

    AquatempoError
    |-- InputError              a value, file or option that the user gave
    |   |-- RangeError          a number outside its valid range
    |   |-- UnknownNameError    a move, factor, format ... that does not exist
    |   `-- TextFileError       a line of a brief, plan, sheet or catalogue
    |-- AudioError
    |   |-- UnreadableFileError the file cannot be opened at all
    |   |-- DecodeError         no decoder could read the file
    |   |-- TooShortError       decoded, but too short to analyse
    |   `-- TooLongError        longer than is worked on
    |-- OutputError             a file or folder that cannot be written
    |-- ConflictError           it was changed elsewhere since it was read
    |-- MissingExtraError       an optional package is not installed
    `-- InfeasibleError         a class that cannot be planned as asked
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

__all__ = [
    "AquatempoError",
    "AudioError",
    "ConflictError",
    "DecodeError",
    "InfeasibleError",
    "InputError",
    "MissingExtraError",
    "OutputError",
    "RangeError",
    "TextFileError",
    "TooLongError",
    "TooShortError",
    "UnknownNameError",
    "UnreadableFileError",
    "is_out_of_memory",
]


class AquatempoError(Exception):
    """Base of all errors raised on purpose; its text is fit to show to a user."""


class InputError(AquatempoError):
    """Something the user gave cannot be used."""


class ConflictError(AquatempoError):
    """What is to be changed was changed elsewhere since it was read; nothing was written."""


class RangeError(InputError):
    """A number lies outside its valid range.

    Attributes: name, value, unit, low, high, slip.
    """

    def __init__(
        self, name: str, value: float, unit: str, low: float, high: float, slip: str = ""
    ) -> None:
        self.name, self.value, self.unit = name, value, unit
        self.low, self.high, self.slip = low, high, slip
        seen = f"{value:g} {unit}".strip()
        needed = f"{low:g} to {high:g} {unit}".strip()
        super().__init__(f"{name} {seen}: needs {needed}" + (f" ({slip})" if slip else ""))


class UnknownNameError(InputError):
    """A name that is not in a known set; suggests the nearest.

    Attributes: kind, name, known, nearest.
    """

    def __init__(self, kind: str, name: str, known: Iterable[str]) -> None:
        self.kind, self.name, self.known = kind, name, tuple(known)
        self.nearest = tuple(get_close_matches(name.lower(), self.known, n=1, cutoff=0.5))
        hint = f"did you mean {self.nearest[0]!r}?" if self.nearest else ""
        listed = "" if self.nearest else f"known: {', '.join(self.known)}"
        super().__init__(f"no {kind} named {name!r}" + (f" ({hint})" if hint else f"; {listed}"))


class TextFileError(InputError):
    """A line of a text file of the user is wrong.

    Attributes: path, line (1-based, or None), problem, place (keys and list indexes that
    lead to the value, where it is known).
    """

    def __init__(
        self, path: str, line: int | None, problem: str, place: tuple[str | int, ...] = ()
    ) -> None:
        self.path, self.line, self.problem, self.place = path, line, problem, place
        where = f"{path}, line {line}" if line is not None else path
        super().__init__(f"{where}: {problem}")


class AudioError(AquatempoError):
    """Audio that cannot be used."""


class UnreadableFileError(AudioError):
    """A file cannot be opened: missing, a folder, forbidden or empty.

    Attributes: path, reason, slip.
    """

    def __init__(self, path: str, reason: str, slip: str = "") -> None:
        self.path, self.reason, self.slip = path, reason, slip
        super().__init__(f"cannot read {path!r}: {reason}" + (f" ({slip})" if slip else ""))


class DecodeError(AudioError):
    """No decoder could read a file.

    Attributes: path, attempts (pairs of decoder and reason).
    """

    def __init__(self, path: str, attempts: Iterable[tuple[str, str]], slip: str = "") -> None:
        self.path, self.attempts, self.slip = path, tuple(attempts), slip
        tried = "; ".join(f"{decoder}: {reason}" for decoder, reason in self.attempts)
        super().__init__(
            f"cannot decode {path!r}"
            + (f" ({tried})" if tried else "")
            + (f"; {slip}" if slip else "")
        )


class TooShortError(AudioError):
    """Decoded audio is shorter than an analysis needs.

    Attributes: path, duration_s, needed_s.
    """

    def __init__(self, path: str, duration_s: float, needed_s: float) -> None:
        self.path, self.duration_s, self.needed_s = path, duration_s, needed_s
        super().__init__(
            f"{path!r} lasts {duration_s:.1f} s: at least {needed_s:g} s are needed to hear a beat"
        )


class TooLongError(AudioError):
    """A recording is longer than memory is kept for.

    Attributes: path, longest_s.
    """

    def __init__(self, path: str, longest_s: float) -> None:
        self.path, self.longest_s = path, longest_s
        super().__init__(
            f"{path!r} lasts more than {longest_s / 3600:g} h, the longest recording that is "
            "heard (cut it into parts, or check whether it is what it should be)"
        )


class OutputError(AquatempoError):
    """A file or folder cannot be written.

    Attributes: path, reason.
    """

    def __init__(self, path: str, reason: str) -> None:
        self.path, self.reason = path, reason
        super().__init__(f"cannot write {path!r}: {reason}")


class MissingExtraError(AquatempoError):
    """A feature needs a package of an optional extra.

    Attributes: feature, extra.
    """

    def __init__(self, feature: str, extra: str) -> None:
        self.feature, self.extra = feature, extra
        super().__init__(f"{feature} needs an optional part: pip install 'aquatempo[{extra}]'")


class InfeasibleError(AquatempoError):
    """A class cannot be planned as the brief asks.

    Attributes: clashes (lines of the brief that clash), remedy.
    """

    def __init__(self, clashes: Iterable[str], remedy: str) -> None:
        self.clashes, self.remedy = tuple(clashes), remedy
        super().__init__(f"no plan fits: {'; '.join(self.clashes)}. {remedy}")


def is_out_of_memory(exc: BaseException) -> bool:
    """Return whether an exception tells that memory ran out, also while a library was loaded.

    exc: as caught; the loader of libraries says it in the words of an ImportError.
    """
    mapping = "failed to map" in str(exc) or "allocate memory" in str(exc)
    return isinstance(exc, MemoryError) or (isinstance(exc, ImportError) and mapping)
