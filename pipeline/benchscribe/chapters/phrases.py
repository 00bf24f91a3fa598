"""Key phrases of a stretch of talk, and the subject of an opening, where no part list says what things are called."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from benchscribe.chapters.vocabulary import stem, stopwords
from benchscribe.records import Transcript

MOST_WORDS = 3
OPENING_WORDS = 14
"""What is named so early in a chapter is likely its matter."""
_UNTELLING = re.compile(r"(?:\w{3}ed|ly|er|est|n't)$")
"""Endings of words that seldom name a matter."""
_SUBJECT = re.compile(
    r"\b(?:this(?: is|'s) (?:the|a|an|my|our|how)|(?:i'm|we're|i am|we are)(?: finally| now| going to be| going to)? "
    r"(?:doing|making|building|make|build|do|starting|start|looking at|look at|learning|learn)(?: on| up)?(?: about)?(?: the| a| an| my| our| these| some)?|"
    r"(?:today|this time|this week|tonight)(?: is|'s| we're| i'm)?(?: about| doing| making| building)?(?: the| a| an| my| our)?|"
    r"(?:part|episode|lesson|chapter|number) [\w-]+ of (?:the|my|our|this)|"
    r"welcome (?:back )?to(?: the| my| our)?|(?:lecture|talk|video|lesson|session|introduction)(?: is)? (?:on|about|to)(?: the)?) "
    r"((?:[a-z'-]+ ?){1,6})"
)


_TALKS = frozenset(
    "talk video lecture lesson episode session part day job thing chapter film one week".split()
)
"""What an episode is, and not what it is about."""


def key_phrases(transcript: Transcript, spans: Sequence[tuple[int, int]]) -> list[tuple[str, ...]]:
    """Give each stretch's key phrases: said often here and seldom elsewhere, longer ones first among equals.

    Args:
        transcript: What was said.
        spans: The stretches, half-open word indices.

    Returns:
        For each stretch at most six phrases in lower case, the best first; no two share their head word.
    """
    counts = [_phrases(transcript, span) for span in spans]
    things = _thing_likeness(transcript)
    leaning = _leaning(transcript, things)
    spread: Counter[str] = Counter()
    for bag in counts:
        spread.update(bag.keys())
    result: list[tuple[str, ...]] = []
    for bag, span in zip(counts, spans, strict=True):
        opening = _phrases(transcript, (span[0], min(span[0] + OPENING_WORDS, span[1])))
        forms = _forms(transcript, span)
        scored: dict[str, float] = {}
        for key, n in bag.items():
            rare = math.log((1.5 + len(spans)) / spread[key])
            often = 1 + math.log(n) if n > 1 else 0.4
            first = 1.8 if key in opening else 1.0
            longer = 1 + 0.4 * key.count(" ") if n > 1 or key in opening else 0.5
            telling = 0.4 if _UNTELLING.search(forms[key]) else 1.0
            thing = things.get(key.rsplit(maxsplit=1)[-1], 0.8)
            if " " not in key:
                thing *= 1 - 0.7 * leaning.get(key, 0.0)
            scored[key] = rare * (often + 0.6 * (key in opening)) * first * longer * telling * thing
        chosen: list[str] = []
        used: set[str] = set()
        for key in sorted(scored, key=lambda k: (-scored[k], k)):
            words = set(key.split())
            if not words & used:
                chosen.append(forms[key])
                used |= words
            if len(chosen) == 6:
                break
        result.append(tuple(chosen))
    return result


_BEFORE_THINGS = frozenset(
    {
        "the",
        "a",
        "an",
        "this",
        "that",
        "these",
        "those",
        "my",
        "your",
        "our",
        "its",
        "his",
        "her",
        "each",
        "every",
        "some",
        "of",
        "two",
        "three",
        "four",
        "no",
        "with",
        "for",
    }
)
_BEFORE_DOINGS = frozenset(
    {
        "to",
        "i",
        "you",
        "we",
        "they",
        "it",
        "he",
        "she",
        "who",
        "don't",
        "can",
        "can't",
        "will",
        "i'll",
        "you'll",
        "we'll",
        "it'll",
        "and",
        "just",
        "i've",
        "you've",
        "nobody",
        "never",
    }
)


def _thing_likeness(transcript: Transcript) -> dict[str, float]:
    """Say of each word how likely it names a thing, by the words that stand before it: 1.2 surely, 0.3 hardly.

    A title is made of names of things; which words are names shows better in the talk itself than in any list.
    """
    things: Counter[str] = Counter()
    doings: Counter[str] = Counter()
    before = ""
    for word in transcript.words:
        bare = word.text.lower().replace("\u2019", "'").strip(".,;:!?\"'()[]-")
        if before in _BEFORE_THINGS:
            things[stem(bare)] += 1
        elif before in _BEFORE_DOINGS:
            doings[stem(bare)] += 1
        before = bare if word.text[-1:] not in ".;:!?" else ""
    return {
        word: 1.2 if things[word] > doings[word] else 0.3 if doings[word] > things[word] else 0.8
        for word in things.keys() | doings.keys()
    }


def _leaning(transcript: Transcript, things: Mapping[str, float]) -> dict[str, float]:
    """Say of each word how often the name of a thing follows it at once: "cold" in "cold front" is half a name."""
    said: Counter[str] = Counter()
    followed: Counter[str] = Counter()
    for run in _runs(transcript, (0, len(transcript.words))):
        for place, word in enumerate(run):
            said[stem(word)] += 1
            followed[stem(word)] += place + 1 < len(run) and things.get(stem(run[place + 1]), 0.0) > 1
    return {word: followed[word] / count for word, count in said.items() if count > 1}


def subject(transcript: Transcript, begin: int, end: int) -> str:
    """Give what an opening says the episode is about: "this is the garden obelisk" gives "garden obelisk".

    Returns:
        A short phrase in lower case; empty where the opening does not say it in a way that is known.
    """
    text = re.sub(r"[^\w' .,?!-]", " ", transcript.text((begin, end)).lower().replace("\u2019", "'"))
    named: list[str] = []
    place = 0
    while match := _SUBJECT.search(text, place):
        place = match.start(1)  # "today's talk is about ...": the second lead stands within the first
        words: list[str] = []
        for word in match[1].split():
            if words and len(words) == 1 and words[0].endswith("ing") and word in ("a", "an", "the", "your"):
                words.clear()  # "reading a weather map": the map
            elif word in stopwords() or len(word) < 3:
                if words or word not in ("for", "of", "the", "a", "an", "new", "big", "little", "my", "our"):
                    break
                continue
            else:
                words.append(word)
        if words and words[0] not in _TALKS:
            named.append(" ".join(words[:3]))
    # What the episode is about is spoken of again.
    again = [phrase for phrase in named if _stems_said(transcript, phrase) > 1]
    return next(iter([*again, *named]), "")


def _stems_said(transcript: Transcript, phrase: str) -> int:
    """Count how often the last word of a phrase is said in the whole talk, whatever its ending."""
    head = stem(phrase.rsplit(maxsplit=1)[-1])
    return sum(stem(re.sub(r"[^\w-]|'s$", "", word.text.lower())) == head for word in transcript.words)


def _runs(transcript: Transcript, span: tuple[int, int]) -> list[list[str]]:
    """Give the runs of words that say something, broken at stop words, numbers and punctuation."""
    runs: list[list[str]] = []
    run: list[str] = []
    for word in transcript.words[span[0] : span[1]]:
        raw = word.text.lower().replace("\u2019", "'")
        bare = raw.strip(".,;:!?\"'()[]-").removesuffix("'s")
        if len(bare) < 3 or bare in stopwords() or not re.fullmatch(r"[^\W\d]+(?:-[^\W\d]+)*", bare):
            runs.append(run)
            run = []
            continue
        run.append(bare)
        if raw[-1:] in ".,;:!?":
            runs.append(run)
            run = []
    return [r for r in [*runs, run] if r]


def _phrases(transcript: Transcript, span: tuple[int, int]) -> Counter[str]:
    bag: Counter[str] = Counter()
    for run in _runs(transcript, span):
        for size in range(1, MOST_WORDS + 1):
            for start in range(len(run) - size + 1):
                bag[" ".join(stem(word) for word in run[start : start + size])] += 1
    return bag


def _forms(transcript: Transcript, span: tuple[int, int]) -> dict[str, str]:
    """Give, for each phrase of stems, the form in which it is said most."""
    forms: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for run in _runs(transcript, span):
        for size in range(1, MOST_WORDS + 1):
            for start in range(len(run) - size + 1):
                said = run[start : start + size]
                forms[" ".join(stem(word) for word in said)][" ".join(said)] += 1
    return {key: max(sorted(said), key=said.__getitem__) for key, said in forms.items()}
