"""Find the decoder that can read a file, or say why none can."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from difflib import get_close_matches
from pathlib import Path

from aquatempo.audio.chain import open_with_soundfile
from aquatempo.audio.readers import PyavReader, Reader
from aquatempo.audio.spans import refuse_special
from aquatempo.errors import DecodeError, UnreadableFileError
from aquatempo.files import note_input

__all__ = ["open_audio"]

# Beyond these a header is damaged: at 20 Hz a song would last for days.
SLOWEST_HZ, FASTEST_HZ = 4_000, 768_000

# First bytes that libsndfile reads; all else goes to PyAV first (docs/design/audio.md).
_SOUNDFILE_FIRST = (b"RIFF", b"RIFX", b"RF64", b"FORM", b"caff", b"fLaC", b"OggS", b".snd")

# An MPEG stream that PyAV refuses is beyond soundfile too, which would chatter on stderr.
_MPEG = (b"ID3", b"\xff")

# First bytes of things that are often given in place of a song.
_SLIPS = (
    (b"#EXTM3U", "this is a playlist: name a song in it"),
    (b"PK\x03\x04", "this is a zip archive: unpack it first"),
    (b"%PDF", "this is a PDF document, renamed?"),
    (b"\x89PNG", "this is a picture, renamed?"),
    (b"\xff\xd8\xff", "this is a picture, renamed?"),
    (b"MThd", "this is a MIDI file, notes without sound: export it as audio first"),
)


def open_audio(path: str | Path) -> Reader:
    """Open an audio file with the first decoder that can read it.

    Raises UnreadableFileError where the file cannot be opened at all, DecodeError with
    what each decoder said where none can read it.
    """
    name = str(path)
    head = _first_bytes(Path(path))
    decoders: list[tuple[str, Callable[[str], Reader]]] = [
        ("soundfile", open_with_soundfile),
        ("PyAV", PyavReader),
    ]
    if head.startswith(_MPEG):
        decoders = decoders[1:]
    elif not head.startswith(_SOUNDFILE_FIRST):
        decoders.reverse()
    attempts: list[tuple[str, str]] = []
    for decoder, reader in decoders:
        try:
            opened = reader(name)
        except Exception as exc:
            # Decoders raise many kinds; each is a refusal, and all are reported below.
            attempts.append((decoder, _reason(exc)))
            continue
        rate_hz = opened.info.sample_rate_hz
        if SLOWEST_HZ <= rate_hz <= FASTEST_HZ:
            return opened
        opened.close()
        needed = f"needs {SLOWEST_HZ} to {FASTEST_HZ} Hz"
        attempts.append((decoder, f"sample rate {rate_hz} Hz: {needed}"))
    raise DecodeError(name, attempts, _slip(head))


def _first_bytes(path: Path) -> bytes:
    """Return the first bytes of a file; raise UnreadableFileError where there are none."""
    name = str(path)
    refuse_special(path)
    note_input(path)
    try:
        with path.open("rb") as file:
            head = file.read(512)
    except FileNotFoundError as exc:
        raise UnreadableFileError(name, "there is no such file", _nearest(path)) from exc
    except (IsADirectoryError, PermissionError) as exc:
        if path.is_dir():  # Windows refuses a folder with PermissionError
            slip = "give the songs in it"
            raise UnreadableFileError(name, "this is a folder, not a file", slip) from exc
        slip = "is it yours, or open in another program?"
        raise UnreadableFileError(name, "permission to read it is missing", slip) from exc
    except (OSError, ValueError) as exc:  # ValueError: a NUL in the name
        raise UnreadableFileError(name, _reason(exc)) from exc
    if not head:
        raise UnreadableFileError(name, "it is empty (0 bytes)", "copy or download it again")
    return head


def _nearest(path: Path) -> str:
    """Return a hint at the file with the most similar name beside a missing one."""
    names: list[str] = []
    with contextlib.suppress(OSError, ValueError):
        if path.is_symlink():
            return f"it is a link to {str(path.readlink())!r}: make that, or the link, anew"
        names = [entry.name for entry in path.parent.iterdir()]
    close = get_close_matches(path.name, names, n=1, cutoff=0.7)
    return f"did you mean {close[0]!r}?" if close else ""


def _slip(head: bytes) -> str:
    """Return what the first bytes give away about a file that is not audio."""
    for magic, slip in _SLIPS:
        if head.startswith(magic):
            return slip
    start = head.lstrip().lower()
    if start.startswith((b"<!doctype html", b"<html")):
        return "this is a web page: the download saved a page instead of the song"
    if all(byte >= 0x20 or byte in b"\t\n\r\f" for byte in head):
        return "this is a text file, renamed?"
    return "is it whole? Copy or download it again, or convert it to wav or mp3"


def _reason(exc: Exception) -> str:
    """Return why a decoder refused, on one line and without the file's name."""
    text = str(getattr(exc, "error_string", "") or getattr(exc, "strerror", "") or exc)
    return " ".join(text.split()).rstrip(".") or type(exc).__name__
