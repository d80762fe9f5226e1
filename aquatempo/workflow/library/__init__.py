"""The library: tracks added, found, marked, judged for stated pools, looked over, exported.

One function for each thing that a command or a page shows.
"""

from aquatempo.workflow.library.adding import add_tracks, hear_waiting, progress_of
from aquatempo.workflow.library.choosing import candidates
from aquatempo.workflow.library.exporting import export_library
from aquatempo.workflow.library.finding import find_tracks, library_tracks
from aquatempo.workflow.library.marking import mark_tracks
from aquatempo.workflow.library.opening import open_books
from aquatempo.workflow.library.pools import state_pool, stated_pools
from aquatempo.workflow.library.upkeep import backup_library, look_over

__all__ = [
    "add_tracks",
    "backup_library",
    "candidates",
    "export_library",
    "find_tracks",
    "hear_waiting",
    "library_tracks",
    "look_over",
    "mark_tracks",
    "open_books",
    "progress_of",
    "state_pool",
    "stated_pools",
]
