"""One JSON object a line in, one a line out: the reader as a filter."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from benchscribe.errors import BenchscribeError
from benchscribe.measures.reader import read


def answer_lines(lines: Iterable[str]) -> Iterator[str]:
    """Answer each line `{"text", "units"}` with `{"measures": [["15/4", "inch"], ...]}`, in order.

    Args:
        lines: JSON objects, one a line; "units" is "inch" (also where it is left out) or "mm". Blank lines are passed over.

    Yields:
        One JSON object for each line, without its line end. Feet and inches said as one size are one measure, in inches.

    Raises:
        BenchscribeError: A line is no such object; names the line.
    """
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            asked = json.loads(line)
        except json.JSONDecodeError as error:
            raise BenchscribeError(
                f"this is not JSON ({error.msg})",
                where=f"line {number}",
                todo='Give one object a line, such as {"text": "cut it at 3/4", "units": "inch"}.',
            ) from None
        text = asked.get("text") if isinstance(asked, dict) else None
        units = asked.get("units", "inch") if isinstance(asked, dict) else None
        if not isinstance(text, str) or units not in ("inch", "mm"):
            raise BenchscribeError(
                'the object needs "text" (a string) and "units" ("inch" or "mm")', where=f"line {number}"
            )
        found = read(text, units="mm" if units == "mm" else "inch").measures
        yield json.dumps({"measures": [[str(m.value), m.unit] for m in found]})
