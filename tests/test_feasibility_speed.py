"""Verdicts are fast enough for a planner that searches, and small enough for a small machine."""

from __future__ import annotations

import pytest
from feasibility_speed import base_forms, first_call_s, held_mib, single_verdicts_s, warm_verdicts_s


def test_warm_verdicts_come_by_the_ten_thousand() -> None:
    """The base moves with their figures known: 10,000 verdicts a second or more."""
    assert warm_verdicts_s(base_forms() * 10) >= 10_000


def test_single_calls_come_by_the_thousand() -> None:
    """One form at one tempo a call: half of what is measured on a quiet machine, or more."""
    assert single_verdicts_s() >= 5_000


def test_a_new_pool_and_group_is_ready_in_a_second_and_a_half() -> None:
    """The base moves for a pool and group never asked for: under 1.5 s, the better of three.

    What all pools and groups share is read before (paths of the limbs).
    """
    first_call_s(0)
    assert min(first_call_s(number) for number in (1, 2, 3)) < 1.5


@pytest.mark.long
def test_an_engine_stays_small() -> None:
    """One pool and group with the base moves holds less than 60 MiB."""
    assert held_mib(base_forms()) < 60
