"""The two decoders behind one face: soundfile (libsndfile) and PyAV (FFmpeg)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from numpy.typing import NDArray

from aquatempo.audio.spans import FileSpan
from aquatempo.records.audio import AudioInfo

if TYPE_CHECKING:
    import av
    from av.container import InputContainer

__all__ = ["PyavReader", "Reader", "Samples", "SoundfileReader", "open_container"]

READ_FRAMES = 65_536  # smaller reads cost time, larger ones gain none (docs/design/audio.md)
LEAST_FRAMES = 256  # a read of a thousand channels, the most libsndfile knows, is 1 MB
MOST_CHANNELS = 8  # 7.1; FFmpeg keeps more elsewhere (AV_NUM_DATA_POINTERS), see _is_sane

Samples = NDArray[np.float32]


class Reader(Protocol):
    """An open audio file.

    info is what the header tells; damaged becomes True while reading where a stretch
    could not be decoded.
    """

    info: AudioInfo
    damaged: bool

    def blocks(self) -> Iterator[Samples]:
        """Yield float32 samples, shape (frames, channels)."""
        ...

    def close(self) -> None:
        """Close the file."""
        ...


class SoundfileReader:
    """wav, aiff, flac, ogg and what else libsndfile reads. Raises RuntimeError, TypeError."""

    def __init__(self, path: str, start: int = 0, end: int | None = None) -> None:
        """Open a file, or the bytes of it from start to end."""
        import soundfile

        # A file object hides the name: libsndfile would guess from the suffix, its mp3 part
        # prints on stderr when the guess is wrong, and no other file can be opened by it.
        self._raw = FileSpan(path, start, end)
        try:
            self._file = soundfile.SoundFile(self._raw)
        except BaseException:
            self._raw.close()
            raise
        file = self._file
        self.damaged = False
        self._read_frames = max(LEAST_FRAMES, 2 * READ_FRAMES // max(2, file.channels))
        self.info = AudioInfo(
            path=path,
            duration_s=file.frames / file.samplerate,
            sample_rate_hz=file.samplerate,
            channels=file.channels,
            format=file.format.lower(),
            codec=file.subtype.lower(),
            decoder="soundfile",
            title=_clean(file.title),
            artist=_clean(file.artist),
        )

    def blocks(self) -> Iterator[Samples]:
        """Yield blocks until the end or the first stretch that cannot be decoded."""
        while True:
            try:
                block: Samples = self._file.read(self._read_frames, dtype="float32", always_2d=True)
            except RuntimeError:
                self.damaged = True
                return
            if len(block) == 0:
                return
            yield block

    def close(self) -> None:
        """Close the file."""
        self._file.close()
        self._raw.close()


class PyavReader:
    """mp3, m4a, aac and what else FFmpeg reads. Raises av.FFmpegError, ValueError."""

    def __init__(self, path: str) -> None:
        self._container = open_container(path)
        try:
            streams = self._container.streams.audio
            if not streams:
                raise ValueError("no sound in it")
            self._stream = stream = streams[0]
            if not stream.rate or not stream.codec_context.channels:
                raise ValueError("neither sample rate nor channels can be told")
            if stream.codec_context.channels > MOST_CHANNELS:
                raise ValueError(f"more than {MOST_CHANNELS} channels")
            duration_s: float | None = None
            if stream.duration is not None and stream.time_base is not None:
                duration_s = float(stream.duration * stream.time_base)
            elif self._container.duration is not None:
                duration_s = self._container.duration / 1_000_000  # in units of av.time_base
            tags = {
                **{key.lower(): _legible(value) for key, value in stream.metadata.items()},
                **{key.lower(): _legible(value) for key, value in self._container.metadata.items()},
            }
        except BaseException:
            self._container.close()
            raise
        self.damaged = False
        self.info = AudioInfo(
            path=path,
            duration_s=duration_s,
            sample_rate_hz=stream.rate,
            channels=stream.codec_context.channels,
            format=_one_format(self._container.format.name, path),
            codec=stream.codec_context.codec.canonical_name,
            decoder="PyAV",
            title=_clean(tags.get("title")),
            artist=_clean(tags.get("artist")),
        )

    def blocks(self) -> Iterator[Samples]:
        """Yield blocks to the end, stepping over packets that cannot be decoded."""
        waiting: list[Samples] = []
        frames = 0
        for piece in self._pieces():
            waiting.append(piece)
            frames += piece.shape[1]
            if frames >= READ_FRAMES:
                yield np.concatenate(waiting, axis=1).T
                waiting, frames = [], 0
        if waiting:
            yield np.concatenate(waiting, axis=1).T

    def _pieces(self) -> Iterator[Samples]:
        """Yield float32 pieces of shape (channels, frames)."""
        import av

        packets = self._container.demux(self._stream)
        while True:
            try:
                packet = next(packets, None)
                frames = [] if packet is None else packet.decode()
            except av.FFmpegError:
                self.damaged = True  # where the demuxer itself gave up, next is the end
                continue
            if packet is None:
                return
            for frame in frames:
                if _is_sane(frame, self.info.sample_rate_hz):
                    yield _planes(frame, self.info.channels)
                else:
                    self.damaged = True

    def close(self) -> None:
        """Close the file."""
        self._container.close()


def _is_sane(frame: av.AudioFrame, sample_rate_hz: int) -> bool:
    """Tell whether a frame can be read; damaged packets decode to other rates, or 39 channels.

    PyAV reads beyond the planes of a frame that has more channels than FFmpeg keeps in place.
    """
    channels = frame.layout.nb_channels
    planes = channels if frame.format.is_planar else 1
    return (
        frame.sample_rate == sample_rate_hz
        and 1 <= channels <= MOST_CHANNELS
        and len(frame.planes) == planes
        and frame.format.name not in ("s64", "s64p")  # PyAV has no array for them
    )


def _planes(frame: av.AudioFrame, channels: int) -> Samples:
    """Return the samples of a frame as float32, shape (channels, frames), full scale 1.0."""
    values = frame.to_ndarray()
    if not frame.format.is_planar:  # interleaved: shape (1, frames x channels)
        values = values.reshape(-1, frame.layout.nb_channels).T
    if values.dtype == np.uint8:
        planes = (values.astype(np.float32) - 128.0) / 128.0
    elif values.dtype.kind == "i":
        planes = (values / 2.0 ** (8 * values.itemsize - 1)).astype(np.float32)
    else:
        planes = values.astype(np.float32, copy=False)
    if len(planes) != channels:  # can change in mid-stream: all then say the same
        planes = np.broadcast_to(planes.mean(axis=0), (channels, planes.shape[1]))
    return planes


def _clean(text: str | None) -> str | None:
    """Return a tag on one line, or None where it is empty."""
    return " ".join(text.replace("\0", " ").split()) or None if text else None


def _one_format(names: str, path: str) -> str:
    """Return one of FFmpeg's names for a family of containers: the suffix, or the first."""
    known = names.split(",")
    suffix = Path(path).suffix.lower().lstrip(".")
    return suffix if suffix in known else known[0]


# The demuxers of FFmpeg that music comes in. Of the 400 others some open further files or
# addresses that a file names (playlists, HLS, DASH, concat scripts, SDP): those are left out.
_DEMUXERS = (
    "aac,ac3,aiff,amr,ape,asf,au,avi,caf,dsf,dts,dtshd,eac3,flac,flv,loas,matroska,mlp,mov,mp3,"
    "mpc,mpc8,mpeg,mpegts,oga,ogg,oma,rm,shn,tak,truehd,tta,voc,w64,wav,wv,xwma"
)


def open_container(path: str) -> InputContainer:
    """Return a file opened by PyAV, whatever bytes stand in its tags. Raises av.FFmpegError."""
    import av

    # Up to PyAV 18, tags that are not UTF-8 are an error unless told otherwise; from 19 never.
    strict_tags = int(av.__version__.partition(".")[0]) < 19
    lenient: dict[str, Any] = {"metadata_errors": "replace"} if strict_tags else {}
    only = {"format_whitelist": _DEMUXERS, "protocol_whitelist": "file"}
    # "file:" keeps names such as "http:..." or "concat:..." from being protocols.
    container: InputContainer = av.open(f"file:{path}", options=only, **lenient)
    return container


def _legible(tag: str) -> str:
    """Return a tag with the bytes that are not UTF-8, kept as surrogates, replaced by a mark."""
    return tag.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
