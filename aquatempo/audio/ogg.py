"""Ogg files that hold several streams one after the other (RFC 3533, section 4: chaining).

Radio recordings and joined files are such chains; libsndfile reads their first link only.
"""

from __future__ import annotations

import io
from pathlib import Path

__all__ = ["find_links"]

CAPTURE = b"OggS"  # every page starts with it (RFC 3533, section 6)
HEADER_BYTES = 27
VERSION_AT, FLAGS_AT, SEGMENTS_AT = 4, 5, 26
FIRST_PAGE = 0x02  # the flag of the page with which a stream begins
# What the first page of a stream holds; a damaged flag alone must not cut a stream in two.
_STREAMS = (b"\x01vorbis", b"OpusHead", b"\x7fFLAC", b"Speex", b"\x80theora", b"fishead")
SEARCH_BYTES = 1 << 16


def find_links(path: str | Path) -> tuple[int, ...]:
    """Return at which byte each link of an Ogg file starts; one of them for most files.

    A link starts with the first pages of its streams, which stand together. Where the
    pages are damaged the next whole one is searched for. Raises OSError.
    """
    links: list[int] = []
    beginning = False
    with Path(path).open("rb") as file:
        while header := _next_page(file):
            at = file.tell() - len(header)
            content = sum(file.read(header[SEGMENTS_AT]))
            begins = bool(header[FLAGS_AT] & FIRST_PAGE)
            if begins:
                start = file.read(min(content, 8))
                content -= len(start)
                begins = start.startswith(_STREAMS)
                if begins and not beginning:
                    links.append(at)
            beginning = begins
            file.seek(content, io.SEEK_CUR)
    return tuple(links)


def _next_page(file: io.BufferedReader) -> bytes:
    """Return the header of the next page, the file standing behind it; empty at the end."""
    header = file.read(HEADER_BYTES)
    if _is_header(header):
        return header
    file.seek(-len(header), io.SEEK_CUR)
    while chunk := file.read(SEARCH_BYTES):
        found = chunk.find(CAPTURE)
        if found >= 0:
            file.seek(found - len(chunk), io.SEEK_CUR)
            header = file.read(HEADER_BYTES)
            if _is_header(header):
                return header
            file.seek(1 - len(header), io.SEEK_CUR)
        elif len(chunk) == SEARCH_BYTES:
            file.seek(1 - len(CAPTURE), io.SEEK_CUR)  # it may stand across two chunks
    return b""


def _is_header(header: bytes) -> bool:
    """Tell whether bytes are the whole head of a page, of the only version there is."""
    return len(header) == HEADER_BYTES and header.startswith(CAPTURE) and header[VERSION_AT] == 0
