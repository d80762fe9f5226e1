"""A key for the content of an audio file, whatever its name and tags."""

from __future__ import annotations

import hashlib
from pathlib import Path

from aquatempo.audio.opening import open_audio
from aquatempo.audio.readers import open_container

__all__ = ["content_key"]

KEY_BYTES = 16  # 128 bits: no two tracks of any collection meet by chance


def content_key(path: str | Path) -> str:
    """Return 32 hexadecimal digits that name the sound in a file.

    Renaming, moving and retagging keep the key; coding the song anew changes it, and so does
    another sample rate or number of channels in the header: the same bytes then sound
    otherwise. Raises UnreadableFileError, DecodeError.
    """
    reader = open_audio(path)  # says in our words why a file cannot be read
    reader.close()
    heard_as = f"{reader.info.sample_rate_hz} Hz, {reader.info.channels} channels\0".encode()
    digest = _of_packets(path, heard_as) or _of_file(path, heard_as)
    return digest.hexdigest()


def _of_packets(path: str | Path, heard_as: bytes) -> hashlib.blake2b | None:
    """Return the digest of the sound as it is coded, None where it cannot be taken apart."""
    import av

    digest = hashlib.blake2b(heard_as, digest_size=KEY_BYTES)
    try:
        with open_container(str(path)) as container:
            stream = container.streams.audio[0]
            # Not the decoder's name: a build may decode mp3 with another decoder.
            digest.update(stream.codec_context.codec.canonical_name.encode() + b"\0")
            for packet in container.demux(stream):
                digest.update(packet)
    except (av.FFmpegError, IndexError):
        return None
    return digest


def _of_file(path: str | Path, heard_as: bytes) -> hashlib.blake2b:
    digest = hashlib.blake2b(b"file\0" + heard_as, digest_size=KEY_BYTES)
    with Path(path).open("rb") as file:
        while chunk := file.read(1 << 20):
            digest.update(chunk)
    return digest
