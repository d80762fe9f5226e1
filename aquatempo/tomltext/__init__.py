r"""Hand-written TOML with the line of each value: the one reader of such text.

>>> sheet = read_toml("sheet.toml", 'title = "Lanes"\ntempo_bpm = "fast"\n')
>>> sheet.text("title")
'Lanes'
>>> sheet.number("tempo_bpm", 30, 300, "bpm")
Traceback (most recent call last):
    ...
aquatempo.errors.TextFileError: sheet.toml, line 2: tempo_bpm 'fast': needs 30 to 300 bpm
"""

from aquatempo.tomltext.kinds import need
from aquatempo.tomltext.toml_table import TomlTable, read_toml

__all__ = ["TomlTable", "need", "read_toml"]
