"""TOML files that people write by hand, read strictly: an unknown key or a wrong value is named with its line and what is allowed."""

from __future__ import annotations

import datetime as dt
import difflib
import re
import tomllib
from pathlib import Path
from typing import Any, Final, TypeVar, get_args, get_origin, get_type_hints

import msgspec

from benchscribe.errors import BuildError

S = TypeVar("S", bound=msgspec.Struct)

_KINDS: Final = {
    "str": "text",
    "int": "a whole number",
    "float": "a number",
    "bool": "true or false",
    "array": "a list",
    "object": "a table of keys",
    "datetime": "a date with a time",
    "date": "a date",
    "time": "a time of day",
    "null": "nothing",
}
"""What TOML's kinds of value are called by people who do not write programs."""


def read_settings(path: Path, kind: type[S]) -> S:
    """Read one TOML file into a frozen record.

    Args:
        path: The file; a missing one gives the record's defaults.
        kind: A record with `forbid_unknown_fields`.

    Raises:
        BuildError: Not TOML, not text, an unknown key, or a value that is not allowed; says where and what would be right.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return kind()
    except UnicodeDecodeError as error:
        raise BuildError("this is not UTF-8 text", where=str(path), todo="Save it again as UTF-8.") from error
    except OSError as error:
        raise BuildError(f"cannot be read ({error.strerror})", where=str(path)) from error
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BuildError(
            f"this is not valid TOML: {error}", where=str(path), todo='Text wants quotes: title = "My build".'
        ) from error
    _refuse_unknown(data, kind, path, text, ())
    # A date without quotes is a date to TOML; the maker means the same by both.
    data = {key: str(value) if isinstance(value, dt.date) else value for key, value in data.items()}
    try:
        return msgspec.convert(data, kind)
    except msgspec.ValidationError as error:
        raise _explain(error, kind, path, text) from error


def _refuse_unknown(
    data: dict[str, Any], kind: type[msgspec.Struct], path: Path, text: str, above: tuple[str, ...]
) -> None:
    fields = {f.encode_name: f for f in msgspec.structs.fields(kind)}
    for key, value in data.items():
        if key not in fields:
            close = difflib.get_close_matches(key, fields, n=1)
            hint = f'Did you mean "{close[0]}"? ' if close else ""
            raise BuildError(
                f'unknown key "{".".join((*above, key))}"',
                where=_place(path, text, (*above, key)),
                todo=f"{hint}Known here: {', '.join(sorted(fields))}.",
            )
        inner = fields[key].type
        if isinstance(inner, type) and issubclass(inner, msgspec.Struct) and isinstance(value, dict):
            _refuse_unknown(value, inner, path, text, (*above, key))


def _explain(error: msgspec.ValidationError, kind: type[msgspec.Struct], path: Path, text: str) -> BuildError:
    message, _, trail = str(error).partition(" - at `$")
    keys = tuple(re.findall(r"\.([\w-]+)", trail))
    name = ".".join(keys) or "the file"
    allowed = _allowed(kind, keys)
    return BuildError(
        f'"{name}": {_plainly(message)}',
        where=_place(path, text, keys),
        todo=f"Allowed: {allowed}." if allowed else "",
    )


def _plainly(message: str) -> str:
    """Say in the maker's words what the checker found."""
    if match := re.fullmatch(r"Expected `([^`]+)`, got `([^`]+)`", message):
        wanted = " or ".join(_KINDS.get(k, k) for k in match[1].split(" | ") if k != "null")
        return f"this is {_KINDS.get(match[2], match[2])}, and must be {wanted}"
    if match := re.fullmatch(r"Invalid enum value '?(.*?)'?", message):
        return f'"{match[1]}" is not allowed'
    if match := re.fullmatch(r"Expected `int` >= (\d+)", message):
        return f"must be {match[1]} or more"
    return f"{message[0].lower()}{message[1:]}".replace("`", "")


def _allowed(kind: type[msgspec.Struct], keys: tuple[str, ...]) -> str:
    """Say what a key may hold, in words."""
    hint: Any = kind
    for key in keys:
        if not (isinstance(hint, type) and issubclass(hint, msgspec.Struct)):
            break
        hint = get_type_hints(hint).get(key)
    if isinstance(hint, type) and issubclass(hint, msgspec.Struct):
        return (
            f"a heading [{keys[-1]}] with keys under it: {', '.join(hint.__struct_fields__)}" if keys else ""
        )
    if get_origin(hint) is tuple:
        return 'a list of texts, such as ["one", "two"]'
    if get_origin(hint) is dict:
        return 'a list for each name, such as "Side panel" = ["cheek", "tall side"]'
    options = [
        o
        for part in (get_args(hint) or (hint,))
        for o in (get_args(part) if get_origin(part) is not None else (part,))
    ]
    names = {str: "text in quotes", int: "a whole number", bool: "true or false"}
    words = [f'"{o}"' for o in options if isinstance(o, str)]
    words += dict.fromkeys(names[o] for o in options if isinstance(o, type) and o in names)
    return ", ".join(words)


def _place(path: Path, text: str, keys: tuple[str, ...]) -> str:
    """Give "file, line N" for the line where a key stands; only the file where the key cannot be found."""
    table: tuple[str, ...] = ()
    for number, line in enumerate(text.splitlines(), 1):
        heading = re.match(r"\s*\[+\s*([^\]]+?)\s*\]+", line)
        if heading:
            table = tuple(part.strip().strip("\"'") for part in heading[1].split("."))
            if table == keys:
                return f"{path}, line {number}"
            continue
        key = re.match(r"\s*(\"[^\"]*\"|'[^']*'|[\w-]+)\s*=", line)
        if key and (*table, key[1].strip("\"'")) == keys[: len(table) + 1]:
            return f"{path}, line {number}"
    return str(path)
