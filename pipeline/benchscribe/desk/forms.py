"""What the page sends: a form of short fields, and nothing of it a name of a file."""

from __future__ import annotations

from urllib.parse import parse_qsl

from msgspec import Struct

from benchscribe.errors import BuildError

_FIELDS = 600
_LONGEST = 4000


class Form(Struct, frozen=True):
    """The fields of a form."""

    fields: tuple[tuple[str, str], ...]

    def text(self, name: str) -> str:
        """Give a field as one trimmed text; empty where it is not there."""
        return next((value.strip() for key, value in self.fields if key == name), "")

    def texts(self, name: str) -> tuple[str, ...]:
        """Give all values of a field that may come more than once."""
        return tuple(value for key, value in self.fields if key == name)

    def number(self, name: str) -> int:
        """Give a field as a whole number.

        Raises:
            BuildError: It is none.
        """
        text = self.text(name)
        if not (text.isascii() and text.isdigit() and len(text) < 10):
            raise BuildError(f'the page sent "{text[:40]}" for {name}, which is no number')
        return int(text)


def read_form(body: bytes) -> Form:
    """Read a form's body.

    Raises:
        BuildError: It is no form, or one with too much in it.
    """
    try:
        pairs = parse_qsl(
            body.decode("utf-8"), keep_blank_values=True, max_num_fields=_FIELDS, errors="strict"
        )
    except ValueError as error:
        raise BuildError("the page sent what is no form") from error
    # A control sign has no place in an answer, and none in the file of answers.
    return Form(
        tuple((key, _clean(value)) for key, value in pairs if len(key) <= 40 and len(value) <= _LONGEST)
    )


def _clean(value: str) -> str:
    return "".join(c for c in value.replace("\r\n", "\n") if c == "\n" or c.isprintable())
