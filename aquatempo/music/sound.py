"""The sound of a song for the page: samples in pieces, and its loudness curve.

The song is decoded once, by the decoder that heard it, into a file without a name; pieces of
it can be asked for at once, also while the rest is still being decoded.
"""

from __future__ import annotations

import tempfile
import threading
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.errors import AquatempoError, InputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["LEVEL_STEP_S", "SOUND_RATE_HZ", "SongSounds", "can_play"]

SOUND_RATE_HZ = 44_100
CHANNELS = 2
BYTES_A_FRAME = 2 * CHANNELS
LEVEL_STEP_S = 0.01
LONGEST_S = 3 * 3600.0  # 1.9 GB as samples: longer than any class
MOST_FRAMES = 1 << 20  # of one piece
KEPT_SONGS = 3
HALF = 0.5
HALF_PIECE_S = 4.0  # of the song, stretched at a time
HALF_EDGE_S = 0.25  # stretched beyond a piece on both sides, and faded over
HALF_FADE_S = 0.02
KEPT_PIECES = 64
FULL_SCALE = 32_767.0


def can_play(path: str) -> bool:
    """Return whether a file holds sound, rather than a text that stands in for it."""
    from aquatempo.music.gathering import SHEET_SUFFIXES

    return not path.lower().endswith(SHEET_SUFFIXES)


class SongSounds:
    """The sounds of the songs used last."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._songs: OrderedDict[tuple[str, int], _DecodedSong] = OrderedDict()

    def samples(self, path: str, first: int, frames: int, speed: float = 1.0) -> bytes:
        """Return frames of the song at a path: 16 bit, little-endian, left and right in turn.

        At SOUND_RATE_HZ; first and frames are counted at the speed asked for, 1 or 0.5
        (pitch kept). What lies beyond the end is left out. Raises InputError, AudioError.
        """
        if not 0 < frames <= MOST_FRAMES or first < 0:
            raise InputError(f"{frames} frames from {first}: needs 1 to {MOST_FRAMES}, from 0 on")
        if speed == 1.0:
            return self._song(path).read(first, frames)
        if speed == HALF:
            return self._song(path).read_half(first, frames)
        raise InputError(f"speed {speed:g}: needs 1 or 0.5")

    def levels(self, path: str) -> bytes:
        """Return how loud a song is, a byte each LEVEL_STEP_S, 255 for full scale.

        On the scale of the samples' root mean square, square-rooted so that quiet shows.
        """
        return self._song(path).levels()

    def close(self) -> None:
        """Stop decoding and let go of all songs."""
        with self._lock:
            for song in self._songs.values():
                song.close()
            self._songs.clear()

    def _song(self, path: str) -> _DecodedSong:
        try:
            key = (path, Path(path).stat().st_mtime_ns)
        except OSError as exc:
            raise InputError(f"cannot read {path!r}: {exc.strerror}") from exc
        with self._lock:
            song = self._songs.pop(key, None) or _DecodedSong(path)
            self._songs[key] = song
            while len(self._songs) > KEPT_SONGS:
                self._songs.popitem(last=False)[1].close()
        return song


class _DecodedSong:
    """One song, decoded by a thread of its own into a nameless file."""

    def __init__(self, path: str) -> None:
        self._path = path
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed by close()
        self._changed = threading.Condition()
        self._frames = 0
        self._levels: list[bytes] = []
        self._ended = self._closed = False
        self._failure: AquatempoError | None = None
        self._pieces: OrderedDict[int, bytes] = OrderedDict()
        threading.Thread(target=self._decode, name="decode", daemon=True).start()

    def read(self, first: int, frames: int) -> bytes:
        with self._changed:
            self._wait(lambda: self._frames >= first + frames)
            self._file.seek(first * BYTES_A_FRAME)
            return self._file.read(max(0, min(frames, self._frames - first)) * BYTES_A_FRAME)

    def read_half(self, first: int, frames: int) -> bytes:
        piece_frames = round(HALF_PIECE_S * SOUND_RATE_HZ / HALF)
        parts = []
        while frames > 0:
            number, offset = divmod(first, piece_frames)
            piece = self._half_piece(number)
            part = piece[offset * BYTES_A_FRAME : (offset + frames) * BYTES_A_FRAME]
            if not part:
                break
            parts.append(part)
            first += len(part) // BYTES_A_FRAME
            frames -= len(part) // BYTES_A_FRAME
        return b"".join(parts)

    def levels(self) -> bytes:
        with self._changed:
            self._wait(lambda: False)
            return b"".join(self._levels)

    def close(self) -> None:
        with self._changed:
            self._closed = self._ended = True
            self._file.close()
            self._changed.notify_all()

    def _wait(self, enough: Callable[[], bool]) -> None:
        while not (self._ended or enough()):
            self._changed.wait()
        if self._failure is not None:
            raise self._failure
        if self._closed:
            raise InputError(f"{self._path!r} was closed while it was read")

    def _decode(self) -> None:
        import numpy as np

        from aquatempo import audio

        step = round(LEVEL_STEP_S * SOUND_RATE_HZ)
        rest = np.zeros((0, CHANNELS), dtype=np.float32)
        try:
            for block in audio.stereo_blocks(self._path, SOUND_RATE_HZ):
                sound = np.clip(block, -1.0, 1.0)
                waiting = np.concatenate([rest, sound])
                whole = len(waiting) // step * step
                rest = waiting[whole:]
                with self._changed:
                    if self._closed:
                        return
                    self._file.seek(self._frames * BYTES_A_FRAME)
                    self._file.write((sound * FULL_SCALE).astype("<i2").tobytes())
                    self._frames += len(sound)
                    self._levels.append(_levels_of(waiting[:whole], step))
                    self._check_length()
                    self._changed.notify_all()
            self._end(None)
        except AquatempoError as failure:
            self._end(failure)
        except OSError as exc:
            self._end(InputError(f"no room to decode {self._path!r}: {exc.strerror}"))

    def _check_length(self) -> None:
        if self._frames > LONGEST_S * SOUND_RATE_HZ:
            raise InputError(f"{self._path!r} is longer than {LONGEST_S / 3600:g} h: split it")

    def _end(self, failure: AquatempoError | None) -> None:
        with self._changed:
            self._ended, self._failure = True, failure
            self._changed.notify_all()

    def _half_piece(self, number: int) -> bytes:
        """Return a piece at half speed, so stretched that it joins the one before it."""
        import numpy as np

        with self._changed:
            if (piece := self._pieces.get(number)) is not None:
                self._pieces.move_to_end(number)
                return piece
        own = round(HALF_PIECE_S * SOUND_RATE_HZ)
        edge = round(HALF_EDGE_S * SOUND_RATE_HZ)
        before = self._stretched(number * own, own, edge)
        if number and len(before):
            # The first moments are faded over from what the piece before has after its end.
            fade = round(HALF_FADE_S * SOUND_RATE_HZ)
            ending = self._stretched((number - 1) * own, own, edge, after=fade)[-fade:]
            share = np.linspace(0.0, 1.0, len(ending), endpoint=False, dtype=np.float32)[:, None]
            before[: len(ending)] = before[: len(ending)] * share + ending * (1.0 - share)
        piece = (np.clip(before, -1.0, 1.0) * FULL_SCALE).astype("<i2").tobytes()
        with self._changed:
            self._pieces[number] = piece
            while len(self._pieces) > KEPT_PIECES:
                self._pieces.popitem(last=False)
        return piece

    def _stretched(self, first: int, frames: int, edge: int, after: int = 0) -> NDArray[np.float32]:
        """Return frames from one on at half speed, and some more after them."""
        import numpy as np

        from aquatempo import audio

        lead = min(edge, first)
        raw = self.read(first - lead, lead + frames + edge)
        sound = np.frombuffer(raw, dtype="<i2").reshape(-1, CHANNELS).astype(np.float32)
        have = max(0, min(frames, len(sound) - lead))
        if have == 0:
            return np.zeros((0, CHANNELS), dtype=np.float32)
        slow = audio.stretch(sound / FULL_SCALE, SOUND_RATE_HZ, HALF)
        start = round(lead / HALF)
        return np.asarray(slow[start : start + round(have / HALF) + after])


def _levels_of(sound: NDArray[np.float32], step: int) -> bytes:
    import numpy as np

    if not len(sound):
        return b""
    power = (sound.reshape(-1, step * CHANNELS) ** 2).mean(axis=1)
    shown = np.clip(255.0 * np.sqrt(np.sqrt(power) * np.sqrt(2.0)), 0.0, 255.0)
    return np.asarray(shown, dtype=np.uint8).tobytes()
