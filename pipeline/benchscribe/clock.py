"""Times as people read them off a clock."""

from __future__ import annotations


def clock(seconds: float, *, up: bool = False) -> str:
    """Write seconds as 3:07 or 1:02:45.

    Args:
        seconds: From the start of a recording; what is before it counts as the start.
        up: Count a second that has begun, as for the end of a stretch; else it is cut off.

    >>> clock(187.9), clock(187.9, up=True), clock(3765)
    ('3:07', '3:08', '1:02:45')
    """
    whole = max(int(-(-seconds // 1)) if up else int(seconds), 0)
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours}:{minutes:02}:{whole % 60:02}" if hours else f"{minutes}:{whole % 60:02}"
