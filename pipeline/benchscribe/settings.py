"""TOML files that people write by hand, read strictly: an unknown key or a wrong value is named with its line and what is allowed."""

from __future__ import annotations

import difflib
import re
import tomllib
from pathlib import Path
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

import msgspec

from benchscribe.errors import BuildError

S = TypeVar("S", bound=msgspec.Struct)


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
        f'"{name}": {message[0].lower()}{message[1:]}'.replace("`", ""),
        where=_place(path, text, keys),
        todo=f"Allowed: {allowed}." if allowed else "",
    )


def _allowed(kind: type[msgspec.Struct], keys: tuple[str, ...]) -> str:
    """Say what a key may hold, in words."""
    hint: Any = kind
    for key in keys:
        if not (isinstance(hint, type) and issubclass(hint, msgspec.Struct)):
            break
        hint = get_type_hints(hint).get(key)
    options = [
        o
        for part in (get_args(hint) or (hint,))
        for o in (get_args(part) if get_origin(part) is not None else (part,))
    ]
    words = [o for o in options if isinstance(o, str)]
    if words:
        return ", ".join(f'"{w}"' for w in words)
    names = {str: "text in quotes", int: "a whole number", bool: "true or false"}
    return " or ".join(dict.fromkeys(names[o] for o in options if o in names))


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
