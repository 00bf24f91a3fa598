"""Taking a change back: the tables that it put in go out, those that it took out come back, and nothing else is touched."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from benchscribe.decisions import DecisionsChangedError, drop_table, put_table

if TYPE_CHECKING:
    from tomlkit import TOMLDocument


class Deed(Struct, frozen=True, kw_only=True):
    """One change of the file."""

    name: str
    """What was done, in a few words."""
    before: str
    """The file's text before it."""
    after: str
    """And after it."""


def undo_of(deed: Deed) -> Callable[[TOMLDocument], TOMLDocument | None]:
    """Give the edit that takes a change back."""

    def edit(document: TOMLDocument) -> TOMLDocument:
        import tomlkit

        before, after = (tomlkit.parse(text).unwrap() for text in (deed.before, deed.after))
        for name in dict.fromkeys([*before, *after]):
            old, new = before.get(name, []), after.get(name, [])
            if old != new:
                document = _put_back(document, name, old, new)
        return document

    return edit


def _put_back(document: TOMLDocument, name: str, old: list[Any], new: list[Any]) -> TOMLDocument:
    """Put one array of tables back, wherever its tables stand now."""
    added = [table for table in new if table not in old]
    removed = [table for table in old if table not in new]
    there = list(document.unwrap().get(name, []))
    for number, table in enumerate(added):
        if table not in there:
            raise DecisionsChangedError(
                "this was changed again in the file since, and cannot be taken back from here"
            )
        row = there.index(table)
        if number < len(removed):
            put_table(document, name, {**dict.fromkeys(table, ""), **removed[number]}, row=row)
            there[row] = removed[number]
        else:
            document = drop_table(document, name, row)
            del there[row]
    for table in removed[len(added) :]:
        put_table(document, name, table)
    return document
