"""Fills templates. Every expression is escaped for what is written, unless it is marked as finished already.

HTML goes through Jinja2's own autoescape. Markdown and plain text have none, so each printed value is passed through an escape here:
a template cannot forget it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Final

from jinja2 import (
    ChoiceLoader,
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
    select_autoescape,
)
from msgspec import Struct

from benchscribe.errors import WriteError
from benchscribe.writers.text import Markdown, flat, lowered, markdown, markdown_line, plain, sentence, tight

HOME: Final = Path(__file__).parent.parent / "templates"
"""The templates that come with the program."""


def render(name: str, context: Struct, template_dir: Path | None = None) -> str:
    """Fill a template.

    Args:
        name: File name in `templates/`; what stands before ".j2" tells how it is escaped (.html, .md, .txt).
        context: The template's documented record; its fields are the names that the template may use.
        template_dir: A build's own templates; a file of the same name there stands in for the program's.

    Raises:
        WriteError: The template has a fault, or uses a name that there is not.
    """
    folders = [template_dir, HOME] if template_dir is not None else [HOME]
    environment = _environment(name[name.index(".") :], tuple(folders), _signs(template_dir))
    values = {field: getattr(context, field) for field in context.__struct_fields__}
    names = ", ".join(values)
    try:
        return environment.get_template(name).render(values)
    except TemplateNotFound as error:
        raise WriteError("this template is not part of the installation", where=str(error)) from error
    except TemplateSyntaxError as error:
        where = f"{error.filename or name}, line {error.lineno}"
        raise WriteError(f"the template has a fault ({error.message})", where=where) from error
    except UnicodeDecodeError as error:
        raise WriteError(
            "the template is not UTF-8 text",
            where=str(template_dir or HOME),
            todo=f"Save {name} again as UTF-8.",
        ) from error
    except (TemplateError, ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as error:
        # A template is a small program of the maker's: whatever goes wrong in it is a fault of the template.
        raise WriteError(
            f"the template cannot be filled ({error})", where=name, todo=f"It may use: {names}."
        ) from error


def tidy(text: str) -> bytes:
    """Give Markdown without double blank lines, ending in one line break."""
    return (re.sub(r"\n{3,}", "\n\n", text).rstrip("\n") + "\n").encode()


@lru_cache(maxsize=8)
def _environment(
    ending: str, folders: tuple[Path, ...], signs: tuple[tuple[str, int, int], ...]
) -> Environment:
    """Keep the environment, and in it the templates as compiled: notes that must be trimmed are filled many times over.

    A build's own template that is new, edited or gone makes it another (`signs`).
    """
    del signs
    return make_environment(f"any{ending}", list(folders))


def _signs(folder: Path | None) -> tuple[tuple[str, int, int], ...]:
    """Give what tells that a build's own templates have changed."""
    try:
        found = [] if folder is None else [(path.name, path.stat()) for path in folder.iterdir()]
    except OSError:
        return ()
    return tuple(sorted((name, stat.st_mtime_ns, stat.st_size) for name, stat in found))


def make_environment(name: str, folders: list[Path]) -> Environment:
    """Give the environment for one kind of file, by the template's name."""
    markup = name.endswith((".html.j2", ".html"))
    environment = Environment(
        loader=ChoiceLoader([FileSystemLoader(folder) for folder in folders]),
        autoescape=select_autoescape(("html.j2", "html"), default=False),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=None if markup else _finish(markdown if name.endswith(".md.j2") else flat),
    )
    environment.filters.update(
        line=markdown_line,
        sentence=sentence,
        verbatim=Markdown,
        address=_address,
        tight=tight,
        inside=lowered,
    )
    return environment


def _finish(escape: Callable[[object], str]) -> Callable[[object], object]:
    """Escape whatever a template prints, save what a filter has finished, and numbers."""

    def finish(value: object) -> object:
        return value if isinstance(value, (Markdown, int)) or not isinstance(value, str) else escape(value)

    return finish


def _address(link: str) -> Markdown:
    """Put a web address into the brackets of a Markdown link, in a form that cannot end it."""
    safe = plain(link).replace("<", "%3C").replace(">", "%3E").replace(" ", "%20")
    return Markdown(f"<{safe}>")
