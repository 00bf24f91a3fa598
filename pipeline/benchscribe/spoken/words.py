"""Words of talk as plain tokens, with the breaks between them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from benchscribe.records import Repair, Transcript

_EDGES = re.compile(r"^[^\w./#'-]+|[^\w/#]+$")
_SENTENCE_END = re.compile(r"[.?!][\"')\]]*$")
_CLITIC = re.compile(r"(?:'s|s')$")
_IS = frozenset("it's that's this's there's here's what's where's who's how's he's she's let's one's".split())
"""Words whose apostrophe-s is a verb ("that's wrong") and no possession."""


_UNMARKED = {
    word.replace("'", ""): word
    for word in (
        "don't can't won't isn't doesn't didn't wasn't aren't weren't couldn't wouldn't shouldn't hasn't haven't "
        "that's there's what's they're they've i've i'm you're you've you'll we've we're mine's"
    ).split()
}
"""Contractions as captions without apostrophes write them; "its" and "well" may be other words and are left."""


class Talk(Struct, frozen=True):
    """The words of an episode, ready to be searched for phrases."""

    tokens: tuple[str, ...]
    """Lower case, no punctuation at the edges, "blade's" as "blade"."""
    sentence_of: tuple[int, ...]
    """Number of the sentence that each word is in: an utterance, cut further at full stops."""
    utterance_of: tuple[int, ...]
    commas: frozenset[int]
    """Words with a comma behind them."""
    punctuated: bool
    """Words carry full stops, so that the end of a sentence is known and not guessed from pauses."""

    def same_sentence(self, a: int, b: int) -> bool:
        """Tell whether two words stand in one sentence; in talk without full stops, in neighbouring utterances too."""
        if self.punctuated:
            return self.sentence_of[a] == self.sentence_of[b]
        return abs(self.utterance_of[a] - self.utterance_of[b]) <= 1


def token(text: str) -> str:
    """Give a word as a token: lower case, edges cleaned, without an apostrophe-s that is no verb.

    >>> token("Blade's,"), token("That's")
    ('blade', "that's")
    """
    clean = _EDGES.sub("", text.lower().replace("’", "'"))
    clean = _UNMARKED.get(clean, clean)
    return clean if clean in _IS else _CLITIC.sub("", clean) or clean


def bare(word: str) -> str:
    """Give what a token also counts as: without its plural or its verb.

    >>> bare("boxes"), bare("that's")
    ('box', 'that')
    """
    return word[:-2] if word in _IS else singular(word)


def singular(word: str) -> str:
    """Give a plain singular for looking a word up; only sure to be the same for the same word.

    >>> singular("boxes"), singular("glass")
    ('box', 'glass')
    """
    if len(word) > 4 and word.endswith(("xes", "ches", "shes", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def talk_of(transcript: Transcript, repairs: tuple[Repair, ...] = ()) -> Talk:
    """Prepare a transcript for the search for phrases.

    Args:
        transcript: The episode's words and utterances.
        repairs: Trade words that were heard as others; a repair counts where it keeps the number of words.
    """
    heard = [token(word.text) for word in transcript.words]
    for repair in repairs:
        meant = repair.meant.lower().split()
        if len(meant) == repair.span[1] - repair.span[0]:
            heard[repair.span[0] : repair.span[1]] = meant
    tokens = tuple(heard)
    sentence_of: list[int] = []
    utterance_of: list[int] = []
    sentence = ends = 0
    for number, utterance in enumerate(transcript.utterances):
        if sentence_of and sentence == sentence_of[-1]:
            sentence += 1
        for index in range(*utterance.span):
            sentence_of.append(sentence)
            utterance_of.append(number)
            if _SENTENCE_END.search(transcript.words[index].text):
                ends += 1
                sentence += 1
    # Written or recognised with punctuation, talk has a full stop every 30 words or sooner.
    commas = frozenset(
        i for i, word in enumerate(transcript.words) if word.text.endswith((",", ";", ":", "—", "-"))
    )
    return Talk(tokens, tuple(sentence_of), tuple(utterance_of), commas, ends * 40 > len(tokens))


_UNITS = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
_TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60}
_WHOLE = {word: number for number, word in enumerate(_UNITS)} | _TENS | {"pair": 2, "dozen": 12}


def whole_number(tokens: Sequence[str], at: int) -> tuple[int, int] | None:
    """Read a small whole number of pieces.

    Returns:
        The number and how many words it took; None where there is none.

    >>> whole_number(["twenty", "two", "legs"], 0)
    (22, 2)
    """
    word = tokens[at] if at < len(tokens) else ""
    if word.isdecimal() and len(word) <= 3:
        return int(word), 1
    if word not in _WHOLE:
        return None
    if word in _TENS and at + 1 < len(tokens) and _WHOLE.get(tokens[at + 1], 99) < 10:
        return _TENS[word] + _WHOLE[tokens[at + 1]], 2
    return _WHOLE[word], 1
