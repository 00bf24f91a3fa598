"""The reader as a spaCy component: fills `doc.spans["measures"]`.

Importing this module does not import spaCy; `register` does, and then a pipeline can `add_pipe("benchscribe_measures")`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchscribe.measures.reader import read
from benchscribe.measures.types import BuildUnits, Reading

if TYPE_CHECKING:
    from spacy.language import Language
    from spacy.tokens import Doc

NAME: Final = "benchscribe_measures"
"""Name of the component, and of the factory."""
KEY: Final = "measures"
"""Key in `doc.spans`, and in `doc.user_data` for the readings themselves."""


class MeasuresComponent:
    """Puts a span on every measure of a document; its label is the unit, its id the exact value."""

    def __init__(self, units: BuildUnits | None = None) -> None:
        """Keep the build's unit, for sizes said without one."""
        self.units = units

    def __call__(self, doc: Doc) -> Doc:
        """Fill `doc.spans["measures"]`, and `doc.user_data["measures"]` with the readings in the same order."""
        spans, kept = [], []
        for reading in read(doc.text, units=self.units).measures:
            span = doc.char_span(
                *reading.chars, label=reading.unit, span_id=str(reading.value), alignment_mode="expand"
            )
            if span is not None:
                spans.append(span)
                kept.append(reading)
        doc.spans[KEY] = spans
        doc.user_data[KEY] = tuple(kept)
        return doc


def register() -> str:
    """Make the component known to spaCy, once or more often.

    Returns:
        The name to add it by: `nlp.add_pipe(register(), config={"units": "inch"})`.
    """
    from spacy.language import Language

    if not Language.has_factory(NAME):
        Language.factory(NAME, default_config={"units": None}, func=_make)
    return NAME


def readings(doc: Doc) -> tuple[Reading, ...]:
    """Give the readings behind `doc.spans["measures"]`, in the same order."""
    found: tuple[Reading, ...] = doc.user_data.get(KEY, ())
    return found


def _make(nlp: Language, name: str, units: BuildUnits | None) -> MeasuresComponent:
    del nlp, name
    return MeasuresComponent(units)
