"""How far the filled cells of a spreadsheet reach, told from its XML while it is unpacked and before it is read.

The reader makes room for every cell up to the last filled one, so one stray cell in the last row and column would take more memory than
there is, and end the program.
"""

from __future__ import annotations

import re
from typing import Final

_TAIL: Final = 4096
"""Bytes that are kept from one chunk to the next, for a tag that is cut in two."""
_XLSX: Final = re.compile(
    rb'<c\b[^<>]*?\br="([A-Z]{1,3})([0-9]{1,7})"[^<>]*[^/<>]>|<c\b[^<>]*?\br="([A-Z]{1,3})([0-9]{1,7})">'
)
_ODS: Final = re.compile(rb"<(table:(?:table-row|table-cell|covered-table-cell|table))(?=[\s/>])([^<>]*)>")
_ROWS: Final = re.compile(rb'number-rows-repeated="([0-9]{1,9})"')
_COLUMNS: Final = re.compile(rb'number-columns-repeated="([0-9]{1,9})"')


class Extent:
    """The last filled row and column of the sheets in one file of the archive, as far as it was unpacked."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self.rows = self.columns = 0
        self._left = b""
        self._row = self._column = 0
        self._repeat = 1

    def grown(self, chunk: bytes) -> int:
        """Take the next bytes; give how many cells lie up to the last filled one."""
        data = self._left + chunk
        cut = data.rfind(b"<")
        self._left = data[cut:][-_TAIL:] if cut >= 0 else b""
        whole = data[:cut] if cut >= 0 else data
        for match in _XLSX.finditer(whole):
            letters, number = match[1] or match[3], match[2] or match[4]
            self._reach(int(number), _column_number(letters))
        for match in _ODS.finditer(whole):
            self._ods(match[1], match[2])
        return self.rows * self.columns

    def _reach(self, row: int, column: int) -> None:
        self.rows, self.columns = max(self.rows, row), max(self.columns, column)

    def _ods(self, tag: bytes, attributes: bytes) -> None:
        if tag == b"table:table":
            self._row, self._repeat = 0, 1
        elif tag == b"table:table-row":
            self._repeat = _repeated(_ROWS, attributes)
            self._row += self._repeat
            self._column = 0
        else:
            self._column += _repeated(_COLUMNS, attributes)
            if b"value" in attributes:
                self._reach(self._row, self._column)


def _repeated(pattern: re.Pattern[bytes], attributes: bytes) -> int:
    found = pattern.search(attributes)
    return int(found[1]) if found else 1


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number
