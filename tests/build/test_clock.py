"""Times as people read them."""

from __future__ import annotations

import pytest

from benchscribe.clock import clock


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [(0, "0:00"), (187.9, "3:07"), (3599.99, "59:59"), (3600, "1:00:00"), (3765, "1:02:45"), (-0.2, "0:00")],
)
def test_a_time_is_cut_off_and_has_hours_only_from_an_hour_on(seconds: float, shown: str) -> None:
    assert clock(seconds) == shown


@pytest.mark.parametrize(("seconds", "shown"), [(187.1, "3:08"), (188, "3:08"), (3599.5, "1:00:00")])
def test_the_end_of_a_stretch_counts_a_second_that_has_begun(seconds: float, shown: str) -> None:
    assert clock(seconds, up=True) == shown
