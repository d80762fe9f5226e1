"""Options that belong together, as one parameter of a command."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING, get_type_hints

from aquatempo.cli.options import (
    Ages,
    Deep,
    Depth,
    Heights,
    Intensity,
    Masses,
    Size,
    Space,
    Temperature,
    Women,
)

if TYPE_CHECKING:
    from aquatempo.records.people import Group, Pool

__all__ = ["GroupOptions", "PoolOptions", "spread_out"]


@dataclass(frozen=True)
class PoolOptions:
    """The water, as options tell it."""

    depth: Depth = None
    temperature: Temperature = None
    space: Space = None
    deep: Deep = False

    @property
    def given(self) -> bool:
        """Whether any option was given."""
        return self != PoolOptions()

    def read(self) -> Pool:
        """Return the pool; raise InputError for what no pool has.

        Water over the tallest of the usual heights is a deep class's, whether that was said or not.
        """
        from aquatempo.documents.people import read_pool
        from aquatempo.records.people import Group

        pool = read_pool(asdict(self), deep=self.deep)
        over_head = pool.depth_m >= Group().height_m[1] and not self.deep
        return read_pool(asdict(self), deep=True) if over_head else pool


@dataclass(frozen=True)
class GroupOptions:
    """The people, as options tell them."""

    size: Size = None
    women: Women = None
    heights: Heights = None
    ages: Ages = None
    masses: Masses = None
    intensity: Intensity = None

    @property
    def given(self) -> bool:
        """Whether any option was given."""
        return self != GroupOptions()

    def read(self) -> Group:
        """Return the group; raise InputError for what no group is."""
        from aquatempo.documents.people import read_group

        return read_group(asdict(self))


def spread_out(command: Callable[..., None]) -> Callable[..., None]:
    """Return a command in whose signature each group of options stands as single options.

    command: takes groups as keyword-only parameters annotated with their class.
    """
    groups: dict[str, type[PoolOptions | GroupOptions]] = {}
    parameters: list[inspect.Parameter] = []
    for parameter in inspect.signature(command, eval_str=True).parameters.values():
        group = parameter.annotation
        if group not in (PoolOptions, GroupOptions):
            parameters.append(parameter)
            continue
        groups[parameter.name] = group
        hints = get_type_hints(group, include_extras=True)
        parameters += [
            inspect.Parameter(
                one.name, parameter.kind, default=one.default, annotation=hints[one.name]
            )
            for one in fields(group)
        ]

    @functools.wraps(command)
    def spread(*args: object, **given: object) -> None:
        for name, group in groups.items():
            own = {one.name: given.pop(one.name) for one in fields(group) if one.name in given}
            given[name] = group(**own)  # type: ignore[arg-type]  # as typer read them
        command(*args, **given)

    spread.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    return spread
