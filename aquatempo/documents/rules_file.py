"""A coordinator's rules, and an instructor's favourites, as files of their own (TOML).

Rules, for several instructors' plans::

    title = "House rules, deep classes"
    banned = ["overhead arms"]
    levels = ["III"]
    max_rpe = 16
    songs = ["Odd Lane", "first_lengths.ogg"]   # those that are approved
    songs_after = 2                             # weeks until a song comes back

Favourites::

    [[favourites]]
    name = "Wave chorus"
    blocks = ["16 jack", "16 cross-country-ski+hands=open"]
"""

from __future__ import annotations

from aquatempo.documents.wishes import read_favourites, read_rules_table
from aquatempo.moves import Catalogue, catalogue
from aquatempo.records.brief import Favourite, HouseRules
from aquatempo.store.files import read_text
from aquatempo.tomltext import need, read_toml

__all__ = ["read_favourites_file", "read_rules"]


def read_rules(path: str, source: Catalogue | None = None) -> HouseRules:
    """Return the rules in a file. Raises TextFileError with the line of what is wrong.

    path: of the file; source: the catalogue in force.
    """
    toml = read_toml(path, read_text(path))
    if "rules" in toml:
        raise toml.error(
            "rules", "[rules] is the heading in a brief: leave it out in a file of rules"
        )
    need("a coordinator's rules", toml)
    return read_rules_table(toml, source or catalogue())


def read_favourites_file(path: str, source: Catalogue | None = None) -> tuple[Favourite, ...]:
    """Return the favourites in a file. Raises TextFileError with the line of what is wrong.

    path: of the file; source: the catalogue in force.
    """
    toml = read_toml(path, read_text(path))
    need("favourites", toml)
    toml.know(("favourites",))
    return read_favourites(toml, source or catalogue())
