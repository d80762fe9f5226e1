"""``aquatempo library``: thousands of tracks, heard once, found in plain terms."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import typer

from aquatempo.cli.failures import report_failure
from aquatempo.cli.options import AsJson, Force, Jobs
from aquatempo.cli.output import make_console, print_json, progress_bar, say
from aquatempo.errors import InputError

__all__ = [
    "COMMANDS",
    "EXAMPLES",
    "SUMMARY",
    "add",
    "backup",
    "export",
    "find",
    "list_tracks",
    "mark",
    "verify",
]

EXAMPLES = (
    "aquatempo library add music/",
    'aquatempo library find "126-138 bpm, suits shallow, >= 8 phrases, sure"',
)
SUMMARY = "Keep thousands of tracks: add, find, mark, export, look over."

LibraryFile = Annotated[
    str | None,
    typer.Option("--library", metavar="FILE", help="Another library. [default: your own]"),
]
Query = Annotated[
    str,
    typer.Argument(metavar="QUERY", help='Terms parted by commas: "126-138 bpm, suits shallow".'),
]
Order = Annotated[
    str, typer.Option(metavar="NAME", help="title, tempo, length, confidence or newest.")
]
Rows = Annotated[int, typer.Option(metavar="ROWS", help="Rows on a page.")]
Page = Annotated[int, typer.Option(metavar="PAGE", help="Which page, from 1.")]


def add(
    paths: Annotated[
        list[str] | None,
        typer.Argument(metavar="PATH...", help="Audio files, folders, playlists; none: go on."),
    ] = None,
    again: Annotated[
        bool, typer.Option("--again", help="Hear again, also what was heard before.")
    ] = False,
    cluster: Annotated[
        str | None,
        typer.Option(metavar="ADDRESS", help="A Dask scheduler that hears, as tcp://host:8786."),
    ] = None,
    jobs: Jobs = None,
    library: LibraryFile = None,
    as_json: AsJson = False,
) -> None:
    """Add tracks to the library and hear them; stopped at any moment, it goes on the next time.

    Each track is kept as soon as it is heard. A file that cannot be heard is kept with its
    reason. Files that are known and did not change are passed over.
    """
    from aquatempo.workflow import library as job

    noted, failures = job.add_tracks(paths or (), again=again, library=library)
    if not as_json:
        say(f"{noted} files are new or changed")
    hearer = None
    if cluster is not None:
        from aquatempo.music.cluster import on_cluster

        hearer = on_cluster(cluster)
    with progress_bar("listening") as progress:
        total = job.progress_of(library).waiting
        state = job.hear_waiting(
            jobs=jobs,
            hearer=hearer,
            library=library,
            go_on=lambda now: progress is None or progress(total - now.waiting, total) is None,
        )
    if as_json:
        print_json("aquatempo/library-add/1", {"noted": noted}, state)
    else:
        say(f"{state.heard} files heard, {state.failed} failed, {state.waiting} wait")
    for failure in failures:
        report_failure(failure.reason)
    for _, reason in state.failures:
        report_failure(reason)
    if failures or state.failed:
        raise typer.Exit(1)


def find(
    query: Query,
    order: Order = "title",
    rows: Rows = 50,
    page: Page = 1,
    library: LibraryFile = None,
    as_json: AsJson = False,
) -> None:
    """Find tracks in plain terms: tempo, phrases, verdicts, tags, rights, words.

    All terms must hold: "126-138 bpm, suits shallow, >= 8 phrases, no bridge, sure". Others:
    "3:00-5:00 long", "may suit deep", "steady", "in 4", "tag warm-up", "approved by Ann",
    "rights on 2027-03-01", "not corrected", or words of title and artist.
    """
    from aquatempo.cli.views.library import show_page
    from aquatempo.workflow import library as job

    if page < 1:
        raise InputError(f"page {page}: needs 1 or more")
    found = job.find_tracks(query, order=order, first=(page - 1) * rows, most=rows, library=library)
    if as_json:
        print_json("aquatempo/library/1", {"query": query}, found)
    else:
        show_page(make_console(), found, rows)


def list_tracks(
    order: Order = "title",
    rows: Rows = 50,
    page: Page = 1,
    library: LibraryFile = None,
    as_json: AsJson = False,
) -> None:
    """List the tracks of the library, page by page."""
    find("", order, rows, page, library, as_json)


def mark(
    query: Query,
    tag: Annotated[
        list[str] | None, typer.Option(metavar="WORD", help="A tag (may be repeated).")
    ] = None,
    rights: Annotated[
        str | None, typer.Option(metavar="TEXT", help="What grants the right to play it.")
    ] = None,
    until: Annotated[
        str | None, typer.Option(metavar="DAY", help="The last day of these rights: 2027-12-31.")
    ] = None,
    approve: Annotated[
        str | None, typer.Option(metavar="NAME", help="Who approves of these tracks.")
    ] = None,
    drop: Annotated[bool, typer.Option("--drop", help="Take these marks off instead.")] = False,
    library: LibraryFile = None,
) -> None:
    """Put tags, rights and approvals on the tracks that a query names."""
    import datetime

    from aquatempo.records.library import Mark
    from aquatempo.workflow import library as job

    if until is not None:
        try:
            datetime.date.fromisoformat(until)
        except ValueError:
            raise InputError(f"day {until!r}: needs one such as 2027-12-31") from None
    marks = [Mark("tag", word) for word in tag or ()]
    marks += [Mark("rights", rights, until or "")] if rights else []
    marks += [Mark("approval", approve)] if approve else []
    if not marks:
        raise typer.BadParameter("nothing to mark: give --tag, --rights or --approve")
    count = job.mark_tracks(query, marks, drop=drop, library=library)
    say(f"{'unmarked' if drop else 'marked'} {count} track{'s' if count != 1 else ''}")


def export(
    out: Annotated[
        str, typer.Argument(metavar="FILE", help="Where to: .csv, .parquet, .m3u or .m3u8.")
    ],
    query: Annotated[
        str, typer.Option("--find", metavar="QUERY", help="Only the tracks of a query.")
    ] = "",
    library: LibraryFile = None,
    force: Force = False,
) -> None:
    """Write tracks of the library as a table (CSV, Parquet) or a playlist (M3U)."""
    from aquatempo.workflow import library as job

    count = job.export_library(out, query, library=library, force=force)
    say(f"wrote {count} track{'s' if count != 1 else ''} to {out}")


def verify(
    mend: Annotated[
        bool, typer.Option("--mend", help="Let what is damaged wait to be heard again.")
    ] = False,
    library: LibraryFile = None,
) -> None:
    """Look the library over: its structure, what was heard, your words."""
    from aquatempo.workflow import library as job

    found = job.look_over(library, mend=mend)
    for line in found:
        report_failure(line)
    if found:
        raise typer.Exit(1)
    say("nothing is wrong")


def backup(
    out: Annotated[str, typer.Argument(metavar="FILE", help="A new file, ending in .sqlite.")],
    library: LibraryFile = None,
) -> None:
    """Write a whole copy of the library; to restore, put it in the place of the library."""
    from aquatempo.workflow import library as job

    job.backup_library(out, library=library)
    say(f"copied the library to {out}")


COMMANDS: tuple[tuple[Callable[..., None], str, tuple[str, ...]], ...] = (
    (add, "add", ("aquatempo library add music/", "aquatempo library add")),
    (list_tracks, "list", ("aquatempo library list --order tempo --page 2",)),
    (find, "find", ('aquatempo library find "126-138 bpm, suits shallow, >= 8 phrases, sure"',)),
    (mark, "mark", ('aquatempo library mark "lane" --tag warm-up --approve Ann',)),
    (export, "export", ('aquatempo library export shallow.m3u --find "suits shallow, sure"',)),
    (verify, "verify", ("aquatempo library verify",)),
    (backup, "backup", ("aquatempo library backup library-monday.sqlite",)),
)
