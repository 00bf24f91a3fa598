"""Fills the desk's templates: read once, escaped always."""

from __future__ import annotations

from typing import Final

from markupsafe import Markup
from msgspec import Struct

from benchscribe.writers.templating import HOME, make_environment

FOLDER: Final = HOME / "desk"
FINISHED: Final = frozenset({"picture", "ruler", "guide", "notes"})
"""Fields that are markup already: drawn or rendered by this program out of escaped text."""


class Pages:
    """The templates, ready to be filled."""

    def __init__(self) -> None:
        """Read them."""
        self._environment = make_environment("page.html.j2", [FOLDER])
        self._environment.filters["finished"] = Markup

    def render(self, name: str, page: Struct) -> str:
        """Fill a template; the fields of the record are the names that it may use."""
        values = {field: getattr(page, field) for field in page.__struct_fields__}
        return self._environment.get_template(name).render(values)

    def static(self, name: str) -> bytes:
        """Give the style sheet or the script."""
        return (FOLDER / name).read_bytes()
