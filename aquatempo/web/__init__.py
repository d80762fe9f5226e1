"""The local page: the whole job without a terminal, on the same workflow functions.

Names are loaded when first used: the server's parts are needed by nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

__all__ = ["serve"]


def serve(
    music: Sequence[str] = (),
    *,
    port: int | None = None,
    browse: bool = True,
    told: Callable[[str], None] = print,
) -> None:
    """Serve the page until it is ended; see serving for music, port, browse and told.

    Raises InputError, OutputError.
    """
    from aquatempo.errors import InputError

    try:
        from aquatempo.web import serving
    except ModuleNotFoundError as exc:
        if exc.name is None or exc.name.startswith("aquatempo"):
            raise
        part = exc.name.partition(".")[0]
        raise InputError(
            f"the page needs {part!r}, which is not installed: pip install {part} "
            "(it comes with aquatempo; was it removed?)"
        ) from exc
    serving.serve(music, port=port, browse=browse, told=told)
