"""What kind of file a text is, so that one in the wrong place is named for what it is."""

from __future__ import annotations

from aquatempo.tomltext.toml_table import TomlTable

__all__ = ["SIGNS", "need"]

SIGNS = {
    "a plan": ("tracks", "left_out", "brief"),
    "a brief": ("minutes", "depth", "pool", "group", "parts", "intervals", "favourites"),
    "a track sheet": ("tempo_bpm", "first_count_1_s", "beats_per_bar", "phrases"),
    "own moves": ("moves", "factors"),
    "favourites": ("favourites",),
    "a coordinator's rules": ("levels", "max_rpe", "songs_after", "warm_up_minutes"),
}
"""Keys by which each kind is known."""
_GOES = {
    "a plan": "a plan is reviewed, shaped and exported: aquatempo review {file}",
    "a brief": "a brief goes after --brief: aquatempo plan MUSIC --brief {file}",
    "a track sheet": "a track sheet goes where a song goes: aquatempo plan {file}",
    "own moves": "own moves go after --own-moves",
    "favourites": "favourites go after --favourites",
    "a coordinator's rules": "rules go after --rules",
}


def need(kind: str, toml: TomlTable) -> None:
    """Raise TextFileError where a file is clearly of another kind.

    kind: of ``SIGNS``, that is needed; toml: the whole text. Of another kind is a file with more
    signs of it than of the one that is needed. Of equals, the kind with fewer signs is likelier.
    """
    found = {one: sum(key in toml for key in keys) for one, keys in SIGNS.items()}
    likely = max(found, key=lambda one: (found[one], one == kind, -len(SIGNS[one])))
    if likely != kind and found[likely] > found[kind]:
        goes = _GOES[likely].format(file=toml.path)
        raise toml.error(None, f"this is {likely}; needed here: {kind}; {goes}")
