"""PDF by Typst: a template that is the same for everyone, and the text as data, so that no text can act as a program."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

import msgspec
from msgspec import Struct

from benchscribe.errors import WriteError
from benchscribe.writers.templating import HOME

_MOMENT: Final = 0
"""The time that a PDF says it was made: always the same, so that the same record gives the same bytes."""

_UNSHOWN: Final = "could not be displayed"
"""What Typst says of a character that no font has."""


def make_pdf(
    template: str,
    context: Struct,
    *,
    template_dir: Path | None,
    pictures: Path | None,
    paper: str = "us-letter",
) -> bytes:
    """Set a PDF that screen readers can read (PDF/UA-1).

    Args:
        template: File name of the Typst template.
        context: Its documented record, passed as JSON.
        template_dir: A build's own templates.
        pictures: Folder that the pictures named in the context lie in; nothing outside it can be read.
        paper: "us-letter" or "a4".

    Raises:
        WriteError: The template has a fault.
    """
    import typst

    homes = [d for d in (template_dir, HOME) if d is not None and (d / template).is_file()]
    if not homes:
        raise WriteError("this template is not part of the installation", where=template)
    source = homes[0] / template
    root = pictures if pictures is not None and pictures.is_dir() else source.parent
    data = {"data": msgspec.json.encode(context).decode(), "paper": paper}
    try:
        try:
            return _compile(source, root, data, universal=True)
        except typst.TypstError as error:
            if _UNSHOWN not in error.message:
                raise
            # No font here has some character of a name (an emoji, another script), and the standard forbids the empty box that
            # stands for it. The page is tagged all the same.
            return _compile(source, root, data, universal=False)
    except (typst.TypstError, OSError) as error:
        reason = getattr(error, "message", None) or str(error)
        raise WriteError(f"the page cannot be set ({reason})", where=str(source)) from error


def _compile(source: Path, root: Path, data: dict[str, str], *, universal: bool) -> bytes:
    import typst

    # The package's own types want the folder to be bytes where the source is.
    compile_page: Callable[..., bytes] = typst.compile
    return compile_page(
        source.read_bytes(),
        root=str(root),
        format="pdf",
        sys_inputs=data,
        pdf_standards="ua-1" if universal else None,
        timestamp=_MOMENT,
    )
