"""Tools, materials, hardware and finishes: by the vocabulary, by the head of an unknown name, and by the grammar of holding a tool."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from benchscribe.mentions.keys import beginnings, key, letters, singular, singular_key
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Term, Vocabulary
from benchscribe.mentions.weigh import Found, weigh
from benchscribe.records import Mention, Span, Transcript

_WIDEST: Final = 4
"""Words in the longest name."""
_SUBJECTS: Final = frozenset(
    "i you we they could can should would will i'd you'd we'd don't didn't let's".split()
)
"""Words after which comes a verb."""
_DETERMINERS: Final = frozenset(
    "a an the my your his her our their this that these those another each every some any no one two three both other same".split()
)
_CUES: Final = 3
"""Words of a trade that must be in the talk before an everyday word is a thing of that trade."""
_CUES_OVER: Final = 3
"""The same for a word that is another thing elsewhere."""
_SHARE: Final = 0.4
"""Words of its trade that a word asks for, as a share of those of the trade that the talk is of."""
_CUES_NEEDED: Final = 2
"""Words of its trade that an everyday word asks for."""
_LONG: Final = 700
"""Words of a talk from which an everyday word asks for more than one word of its trade."""
_CUES_SAME: Final = 6
"""The same for a word that is that thing everywhere, where none of the words that it asks for is there."""


def find_things(
    talk: Talk,
    transcript: Transcript,
    named: Sequence[Found],
    taken: frozenset[int],
    vocabulary: Vocabulary,
) -> list[Mention]:
    """Find tools, materials, hardware and finishes.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        named: What is named (`named_things`).
        taken: Words that belong to the name of a part; a tool there is no tool ("clamp bar"), a material is ("cork foot").
        vocabulary: The words of the trade.
    """
    found = _joined(talk, named)
    found = [f for f in found if f.term.kind == "material" or not taken & set(range(*f.span))]
    have = frozenset(i for f in found for i in range(*f.span)) | taken
    found += _unknown_tools(talk, have, vocabulary)
    return weigh(talk, transcript, sorted(found, key=lambda f: f.span), vocabulary)


def _joined(talk: Talk, found: Sequence[Found]) -> list[Found]:
    """Join what a fixing is made of to its name ("brass", "screws" -> "brass screws")."""
    out: list[Found] = []
    for this in found:
        last = out[-1] if out else None
        touching = last is not None and last.span[1] == this.span[0] and talk.stops[this.span[0] - 1] == 0
        if last is not None and touching and last.term.kind == "material" and this.term.kind == "hardware":
            name = f"{last.name} {this.name}"
            out[-1] = Found(
                Term(name, "hardware", this.term.group, this.term.usual),
                name,
                (last.span[0], this.span[1]),
                1.0,
            )
        else:
            out.append(this)
    return out


def long_names(named: Sequence[Found]) -> frozenset[int]:
    """Give the words that stand in names of two words or more ("push block")."""
    return frozenset(i for f in named if f.span[1] - f.span[0] > 1 for i in range(*f.span))


def named_things(talk: Talk, vocabulary: Vocabulary) -> tuple[Found, ...]:
    """Find the names of the vocabulary in the talk, in order.

    Args:
        talk: The plain, repaired words.
        vocabulary: The words of the trade.
    """
    return tuple(_known(talk, vocabulary))


def _known(talk: Talk, vocabulary: Vocabulary) -> Iterator[Found]:
    """Find names of the vocabulary, longest first; a name does not run over the end of a sentence."""
    at, size = 0, len(talk.words)
    every_word = frozenset(talk.words)
    starts = beginnings(vocabulary.terms)
    trades = {cues for ways in vocabulary.meanings.values() for cues, _ in ways}
    most = max((len(cues & every_word) for cues in trades), default=0)
    floor = most * _SHARE if size > _LONG else 0.0  # a short talk has few words of any trade
    while at < size:
        hit = _longest(talk, at, vocabulary, starts) if talk.words[at] else None
        if hit is None:
            at += 1
            continue
        term, end = hit
        meant = _in_trade(talk.words[at], every_word, vocabulary, floor) if end == at + 1 else None
        if meant is not None:
            yield _named(talk, meant, (at, end), vocabulary)
            at = end
            continue
        if end == at + 1 and not _in_its_trade(talk, at, term, every_word, vocabulary):
            at = end
            continue
        if end > at + 1 and not _near(talk, (at, end), vocabulary):
            at = end
            continue
        yield _named(talk, term, (at, end), vocabulary)
        at = end


def _in_trade(word: str, every_word: frozenset[str], vocabulary: Vocabulary, floor: float) -> Term | None:
    """Give what a word means in the trade that the talk is of; None where it is of no trade that gives it a meaning."""
    meanings = (
        vocabulary.meanings.get(letters(word)) or vocabulary.meanings.get(singular(letters(word))) or ()
    )
    rest = every_word - {word, singular(word), f"{word}s"}
    shown = [(len(cues & rest), term) for cues, term in meanings]
    most = max((n for n, _ in shown), default=0)
    term = next((term for n, term in shown if n == most), None)
    usual = vocabulary.terms.get(letters(word)) or vocabulary.terms.get(singular(letters(word)))
    if letters(word) in vocabulary.trade_only:
        least = _CUES
    elif word in vocabulary.needs_near or singular(word) in vocabulary.needs_near:
        return None
    else:
        least = _CUES_SAME if usual is not None and term is usual else _CUES_OVER
    return term if most >= max(least, floor) else None


def _in_its_trade(
    talk: Talk, at: int, term: Term, every_word: frozenset[str], vocabulary: Vocabulary
) -> bool:
    """Tell whether a word that is a thing only in its trade ("thread", "iron", "tap") stands among words of that trade."""
    word = talk.words[at]
    plain = letters(word)
    form = plain if plain in vocabulary.meanings else singular(plain)
    if form in vocabulary.trade_only:
        return False
    other = singular(word) if singular(word) != word else f"{word}s"
    same = vocabulary.terms.get(letters(other)) is term
    needs = vocabulary.needs.get(word) or (vocabulary.needs.get(other) if same else None)
    least = _CUES_NEEDED if len(talk.words) > _LONG else 1
    if needs and term.kind in ("material", "finish") and at and talk.words[at - 1] in ("of", "with", "some"):
        needs = None  # "a bit of felt", "with some cord": stuff by its frame
    if needs and len(needs & (every_word - {word, other})) < least:
        return False
    near = vocabulary.needs_near.get(word) or (vocabulary.needs_near.get(other) if same else None)
    start, end = talk.spans[talk.utterance_of[at]]
    return not near or bool(near & set(talk.words[start:end]))


def _near(talk: Talk, span: Span, vocabulary: Vocabulary) -> bool:
    """Tell whether a name of several words that is an everyday phrase too ("dead centre") stands among words of its trade."""
    near = vocabulary.needs_near.get(talk.text(span))
    start, end = talk.spans[talk.utterance_of[span[0]]]
    return not near or bool(near & {*talk.words[start : span[0]], *talk.words[span[1] : end]})


def _longest(talk: Talk, at: int, vocabulary: Vocabulary, starts: frozenset[str]) -> tuple[Term, int] | None:
    runs = talk.runs(at, _WIDEST, starts)
    for width in range(len(runs), 0, -1):
        before, last = runs[width - 1]
        joined = before + last
        term = vocabulary.terms.get(joined) or vocabulary.terms.get(before + singular(last))
        group = talk.words[at : at + width]
        if not group[-1]:
            continue
        if term is None or (width > 1 and len(joined) < 4) or (width == 1 and len(joined) < 2):
            continue
        if width == 2 and group[1] in ("up", "off", "down", "out") and _before_verb(talk, at):
            continue  # "you can't pick up"
        if width == 1 and not _is_noun(talk, at, vocabulary, term):
            continue
        if (
            width > 1
            and term.own is False
            and any(talk.words[i] in _DETERMINERS for i in range(at, at + width))
            and joined not in vocabulary.terms
        ):
            continue
        return term, at + width
    return None


def _before_verb(talk: Talk, at: int) -> bool:
    before = talk.words[at - 1] if at and talk.stops[at - 1] < 2 else ""
    return before in _SUBJECTS or before in ("to", "can't", "won't", "didn't", "just", "need")


def _is_noun(talk: Talk, at: int, vocabulary: Vocabulary, term: Term) -> bool:
    """Tell a noun from a verb or an adjective, for words that are both ("plane", "file", "square", "oil")."""
    word, tag = talk.words[at], talk.tags[at]
    everyday = letters(word) in _EVERYDAY or letters(word) in vocabulary.trade_only
    before = talk.words[at - 1] if at and talk.stops[at - 1] < 2 else ""
    after = talk.words[at + 1] if at + 1 < len(talk.words) and talk.stops[at] == 0 else ""
    counted = word == "snips" and before in ("two", "three", "four", "six", "few", "little", "small")
    if counted or before in _SUBJECTS or (before.endswith("'ll") and before != "'ll"):
        return False  # "it'll mic four ninety nine", "you resaw those", "four snips at the folds"
    if letters(word) not in vocabulary.doubtful and not everyday:
        return True
    if term.kind == "material" and word.endswith("ing"):
        return after not in _OBJECTS
    if _plainly_no_tool(word, before, after):
        return False
    if term.kind == "tool" and before == "and" and _tool_ends(talk, at - 1, vocabulary):
        return after not in _OBJECTS  # "chisel and mallet"
    if before in _DETERMINERS or (
        at and talk.tags[at - 1] in ("PRP$", "DT", "CD") and before not in ("all", "both")
    ):
        # "the square end", "a flat file": a noun unless another noun follows that it only describes.
        followed = after in ("one", "ones") or (after and talk.tags[at + 1].startswith("NN"))
        return letters(word) not in _DESCRIBING or not followed
    if term.kind in ("material", "finish"):
        noun_next = bool(after) and talk.tags[at + 1].startswith("NN")
        return (
            tag.startswith("NN")
            or (tag == "JJ" and not noun_next)
            or (before in ("of", "with") and not noun_next)
        )
    return tag.startswith("NN") and after not in _OBJECTS


def _plainly_no_tool(word: str, before: str, after: str) -> bool:
    """Tell a verb ("then file it"), and an everyday sense of a word ("the plane of the face", "not square")."""
    if before in _BEFORE_VERB and after in _AFTER_VERB:
        return True
    if after == "of" and word in ("plane", "level", "file"):
        return True
    return word == "square" and before not in ("a", "the", "my", "your", "that", "this")


_OBJECTS: Final = frozenset(("it", "them", "this", "that", "the", "those", "these", "a"))
_BEFORE_VERB: Final = frozenset(
    "to i we you they he she i'll we'll you'll i'd don't can could should will would just then it them let's gets get and".split()
)
_AFTER_VERB: Final = frozenset(
    "it them this that the those these a all both up off down out one my your each every through".split()
)


def _tool_ends(talk: Talk, end: int, vocabulary: Vocabulary) -> bool:
    """Tell whether the word before a place is a tool."""
    term = vocabulary.terms.get(singular_key((talk.words[end - 1],))) if end else None
    return term is not None and term.kind == "tool"


_EVERYDAY: Final = frozenset(
    "level square scale scales brace die dies driver press iron float needle pins weights palm spade rake roller compass template mill shear maul fan buffer card bone tile stone sand lime holly pear silver "
    "ash cotton dye paste pickle plaster glass filler tape paper rubber film felt strings wire cable chain springs spring knobs handles buttons hooks hook latch rule indicator level compass forge weight "
    "stamp chalk line guide stop bench wheel machine gauge disc tool fence ruler string cord lining paint stain wax oil poly tar ink patina flux solder foam leather hide bridle calf sponge bucket trowel loom shuttle "
    "horn grease polish primer cement concrete switch relay fuse battery motor pot pots regulator encoder tuners pegs snaps snap tack tacks nails nail brads brad screws screw bolts bolt nuts nut rivets rivet staples clips ties parallels "
    "drift dolly batten punch tap skew gouge chisel file rasp plane saw drill router lathe mallet hammer clamp clamps vise vice scraper sander grinder torch brush rag knife shears iron".split()
)
"""Words that need a look at the grammar before they are a thing."""
_DESCRIBING: Final = frozenset(
    "square level press felt glass paper silver iron brace stone sand float scale compass bone card lime paint stain".split()
)


def _named(talk: Talk, term: Term, span: Span, vocabulary: Vocabulary) -> Found:
    """Give the found thing the name that was said for it: a kind before a known head belongs to the name ("skirt knife")."""
    start, end = span
    head = singular(talk.words[end - 1])
    if (
        term.kind == "tool"
        and start
        and talk.stops[start - 1] == 0
        and head in vocabulary.phrases.heads
        and end - start == 1
    ):
        before = talk.words[start - 1]
        tag = talk.tags[start - 1]
        kind = tag in ("NN", "NNP") or (tag == "VBG" and start > 1 and talk.words[start - 2] in _DETERMINERS)
        fits = (
            kind
            and before.isalpha()
            and len(before) > 2
            and before not in vocabulary.phrases.plain
            and singular_key((before,)) not in vocabulary.terms
        )
        shaped = head == "cutter" and letters(before) in vocabulary.doubtful
        if start > 1 and key(talk.words[start - 2 : start]) in vocabulary.verbs:
            fits = False  # "dove tail clamp"
        if shaped or (fits and letters(before) not in vocabulary.verbs and before not in _DETERMINERS):
            return Found(
                Term(f"{before} {singular(talk.words[end - 1])}", "tool", "by its head"),
                f"{before} {singular(talk.words[end - 1])}",
                (start - 1, end),
                0.8,
            )
    return Found(term, _as_spelled(talk, term.name, span), span, 1.0)


def _as_spelled(talk: Talk, name: str, span: Span) -> str:
    """Give a name in the maker's own spelling ("vice" for "vise", "mitre saw" for "miter saw")."""
    said = {letters(w): w.removesuffix("'s") for w in talk.words[span[0] : span[1]]}
    return " ".join(said.get(letters(w), w) if letters(w).isalpha() else w for w in name.split())


def _unknown_tools(talk: Talk, have: frozenset[int], vocabulary: Vocabulary) -> Iterator[Found]:
    """Find names that no list holds: a word on -er or -or that is held, grabbed or gone to ("with the splitter", "over at the slitter")."""
    phrases = vocabulary.phrases
    by_last = tuple((tuple(c.split())) for c in phrases.carriers)
    for at, word in enumerate(talk.words):
        if at in have or len(word) < 5 or not word.isalpha() or not re.search(r"[eo]rs?$", word):
            continue
        if singular(word) in phrases.not_er or word in phrases.not_er or not talk.tags[at].startswith("NN"):
            continue
        if at + 1 < len(talk.words) and talk.stops[at] == 0 and talk.tags[at + 1].startswith("NN"):
            continue
        if any(at >= len(c) and talk.words[at - len(c) : at] == c for c in by_last):
            name = singular(word)
            yield Found(Term(name, "tool", "by its grammar"), name, (at, at + 1), 0.6)
