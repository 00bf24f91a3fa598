"""The words of the trade, read from the data files in `words/`, with the maker's own added."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any, Final

from msgspec import Struct

from benchscribe.mentions.keys import key, letters, singular, singular_key
from benchscribe.mentions.trades import trade_names
from benchscribe.records import MentionKind

_KINDS: Final[tuple[tuple[str, MentionKind], ...]] = (
    ("tools", "tool"),
    ("materials", "material"),
    ("hardware", "hardware"),
    ("finishes", "finish"),
)
_VOWELS: Final = "aeiou"
_PARTICLES: Final = frozenset(
    ("up", "off", "out", "down", "over", "on", "in", "back", "together", "through", "it", "holes")
)


class Term(Struct, frozen=True):
    """One thing that can be named."""

    name: str
    """What to call it: as said, or the usual name where what is said is short for it."""
    kind: MentionKind
    group: str
    usual: str = ""
    """The usual name of its sort: "drill press" for a pillar drill."""
    own: bool = False
    """The maker's own word."""


class Implied(Struct, frozen=True):
    """What a verb implies where nothing of its sort is named."""

    kind: MentionKind
    name: str
    stand_ins: frozenset[str]
    """Things that do as well; where one of them is used, nothing is implied."""


class HazardRule(Struct, frozen=True, kw_only=True):
    """What calls for a caution."""

    name: str
    caution: str
    source: str
    tools: frozenset[str] = frozenset()
    operations: frozenset[str] = frozenset()
    materials: frozenset[str] = frozenset()
    phrases: tuple[str, ...] = ()
    needs: frozenset[str] = frozenset()
    warn: tuple[str, ...] = ()
    grave: bool = False
    """Listed where the thing is used, with no warning spoken."""


class RepairRule(Struct, frozen=True, kw_only=True):
    """A group of trade words that are heard as others."""

    words: tuple[tuple[tuple[str, ...], str], ...]
    """What is heard, word by word, and what is meant."""
    near: frozenset[str] = frozenset()
    not_before: frozenset[str] = frozenset()
    not_after: frozenset[str] = frozenset()


class Phrases(Struct, frozen=True, kw_only=True):
    """Expressions that say how something is spoken of; see `words/phrases.toml`."""

    unused_before: re.Pattern[str]
    unused_after: re.Pattern[str]
    purpose: re.Pattern[str]
    promise: re.Pattern[str]
    closing: re.Pattern[str]
    no_promise: re.Pattern[str]
    mistake: tuple[tuple[re.Pattern[str], float], ...]
    no_mistake: re.Pattern[str]
    redo: re.Pattern[str]
    warning: re.Pattern[str]
    heads: frozenset[str]
    plain: frozenset[str]
    carriers: tuple[str, ...]
    not_er: frozenset[str]


class Vocabulary(Struct, frozen=True, kw_only=True):
    """All words of the trade that `find_mentions` looks for."""

    terms: dict[str, Term]
    """By key (`keys.key`): tools, materials, hardware and finishes."""
    verbs: dict[str, str]
    """By key of a verb form or phrase: the trade's verb."""
    doubtful: frozenset[str]
    """Verb forms that are other words too."""
    implies: dict[str, tuple[Implied, ...]]
    """By verb phrase: the tool it is done with, and the material it uses up."""
    settings: tuple[tuple[Term, re.Pattern[str]], ...]
    """Things that are spoken of by a setting alone, and how."""
    near: dict[str, frozenset[str]]
    """By verb: the words of which one must stand in its sentence."""
    idioms: re.Pattern[str]
    """Everyday phrases with a verb of the trade in them."""
    needs: dict[str, frozenset[str]]
    """By word: the words of its trade of which one must be in the talk."""
    needs_near: dict[str, frozenset[str]]
    """The same, in the sentence."""
    meanings: dict[str, tuple[tuple[frozenset[str], Term], ...]]
    """By word: what it is in a trade, and the words that show that the talk is of that trade."""
    trade_only: frozenset[str]
    """Words that are nothing outside their trade."""
    repairs: tuple[RepairRule, ...]
    hazards: tuple[HazardRule, ...]
    also: dict[str, tuple[str, ...]]
    describes: dict[str, tuple[str, str]]
    phrases: Phrases

    def usual(self, name: str) -> str:
        """Give the usual name of a thing's sort: "drill press" for a pillar drill; a name that is not known stays as it is."""
        term = self.terms.get(key(name.lower().split()))
        return term.usual if term else name


def load_vocabulary(extra: Mapping[str, Sequence[str]] = {}) -> Vocabulary:
    """Read the vocabulary, with the maker's own words added.

    Args:
        extra: The maker's own words by kind: tools, materials, hardware, finishes, operations. "froe = splitting knife" gives another
            word for a thing; other kinds are passed over.
    """
    base = _base()
    if not any(extra.values()):
        return base
    terms, verbs = dict(base.terms), dict(base.verbs)
    for file, kind in _KINDS:
        for text in extra.get(file, ()):
            name, _, others = text.partition("=")
            _add(
                terms,
                name.strip(),
                [o.strip() for o in others.split(",") if o.strip()],
                kind,
                "own",
                own=True,
            )
    for text in extra.get("operations", ()):
        name, _, others = text.partition("=")
        for form in (name, *others.split(",")):
            if form.strip():
                verbs |= {key(f.split()): name.strip() for f in _phrase_forms(form.strip().lower(), {})}
    return Vocabulary(
        **{f: getattr(base, f) for f in base.__struct_fields__} | {"terms": terms, "verbs": verbs}
    )


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((files(__package__) / "words" / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def _base() -> Vocabulary:
    terms: dict[str, Term] = {}
    for file, kind in _KINDS:
        for group, names in _read(file).items():
            for name, others in names.items():
                _add(terms, name, others, kind, group)
    own = frozenset(terms)
    meanings = _add_trades(terms)
    operations = _read("operations")
    irregular = operations["irregular"]
    verbs = {
        key(form.split()): verb
        for verb, others in operations["verbs"].items()
        for phrase in (verb, *others)
        for form in _phrase_forms(phrase, irregular)
    }
    doubtful = {
        key(f.split()) for word in operations["doubtful"]["words"] for f in _phrase_forms(word, irregular)
    }
    parts, contexts = _read("parts"), _read("contexts")
    return Vocabulary(
        terms=terms,
        verbs=verbs,
        doubtful=frozenset(doubtful),
        implies=_implied(operations),
        settings=tuple(
            (terms[key(name.split())], re.compile("|".join(ways)))
            for name, ways in operations["settings"].items()
        ),
        near={verb: frozenset(words) for verb, words in operations["near"].items()},
        idioms=re.compile(r"\b(?:" + "|".join(map(re.escape, operations["idioms"]["phrases"])) + r")\b"),
        needs={word: frozenset(near) for word, near in contexts["needs"].items()},
        meanings=meanings,
        trade_only=frozenset(meanings) - own,
        needs_near={word: frozenset(near) for word, near in contexts["sentence"].items()},
        repairs=tuple(map(_repair_rule, _read("repairs")["group"])),
        hazards=tuple(map(_hazard_rule, _read("hazards")["hazard"])),
        also={word: tuple(others) for word, others in parts["also"].items()},
        describes={word: (dimension, end) for word, (dimension, end) in parts["describes"].items()},
        phrases=_phrases(_read("phrases")),
    )


def _add_trades(terms: dict[str, Term]) -> dict[str, tuple[tuple[frozenset[str], Term], ...]]:
    """Add the names of the trades; give, by word, what a word is in each trade, and the words that show the trade."""
    meanings: dict[str, tuple[tuple[frozenset[str], Term], ...]] = {}
    own = dict(terms)
    for entry in trade_names():
        words = entry.name.split()
        tails = (own.get(key(words[i:])) or own.get(singular_key(words[i:])) for i in range(1, len(words)))
        usual = next((t.usual for t in tails if t is not None and t.kind == entry.kind), entry.name)
        term = Term(entry.name, entry.kind, entry.group, usual)
        base = own.get(key(words)) or own.get(singular_key(words))
        if base is None:
            terms.setdefault(key(words), term)
            terms.setdefault(singular_key(words), term)
        if base is not None and base.kind == term.kind:
            term = base
        if len(words) == 1:
            for form in {letters(entry.name), singular(letters(entry.name))}:
                meanings[form] = (*meanings.get(form, ()), (entry.cues, term))
    return meanings


def _implied(operations: Mapping[str, Any]) -> dict[str, tuple[Implied, ...]]:
    out: dict[str, tuple[Implied, ...]] = {}
    kinds: tuple[tuple[str, MentionKind], ...] = (("implies", "tool"), ("uses", "material"))
    for table, kind in kinds:
        for verb, names in operations[table].items():
            thing = Implied(kind, names[0], frozenset(names))
            for form in _phrase_forms(verb, operations["irregular"]):
                out[key(form.split())] = (*out.get(key(form.split()), ()), thing)
    return out


def _add(
    terms: dict[str, Term],
    name: str,
    others: Sequence[str],
    kind: MentionKind,
    group: str,
    *,
    own: bool = False,
) -> None:
    """Add a name and its other words.

    "~mic" is short for the usual name, and stands for it; "glasses!" counts in just this form: one glass is no pair of glasses.
    """
    usual = name.rstrip("!")
    for written in (name, *others):
        said = written.strip("~!").lower()
        words = said.split()
        if not words:
            continue
        shown = usual if written.startswith("~") or written is name else said
        term = Term(shown, kind, group, usual, own)
        forms = (key(words),) if written.endswith("!") else (key(words), singular_key(words))
        for form in forms:
            if own or written.endswith("!"):
                terms[form] = term
            else:
                terms.setdefault(form, term)


def _phrase_forms(phrase: str, irregular: Mapping[str, Sequence[str]]) -> list[str]:
    """Give a verb phrase in all forms of its verb: "glue up" -> "glued up"; "center punch" -> "center punched"."""
    first, _, rest = phrase.partition(" ")
    forms = [f"{form} {rest}".strip() for form in verb_forms(first, irregular)]
    if rest and " " not in rest and rest not in _PARTICLES:
        forms += [f"{first} {form}" for form in verb_forms(rest, irregular)]
    return forms


def verb_forms(verb: str, irregular: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """Give a verb's forms: as listed, else by the rules of English spelling.

    >>> verb_forms("rip", {})
    ('rip', 'rips', 'ripped', 'ripping')
    """
    if verb in irregular:
        return (verb, *(f for f in irregular[verb] if f != verb))
    if verb.endswith("e") and not verb.endswith("ee"):
        return (verb, verb + "s", verb + "d", verb[:-1] + "ing")
    if verb.endswith("y") and verb[-2] not in _VOWELS:
        return (verb, verb[:-1] + "ies", verb[:-1] + "ied", verb + "ing")
    stem = verb
    if (
        re.fullmatch(r"(?:.*[^aeiou]|qu)?[aeiou][bdgklmnprt]", verb)
        and len(re.findall(r"[aeiouy]+", verb)) == 1
    ):
        stem = verb + verb[-1]
    return (
        verb,
        verb + ("es" if verb.endswith(("s", "x", "z", "ch", "sh")) else "s"),
        stem + "ed",
        stem + "ing",
    )


def _repair_rule(group: Mapping[str, Any]) -> RepairRule:
    return RepairRule(
        words=tuple((tuple(heard.lower().split()), meant) for heard, meant in group["words"].items()),
        near=frozenset(group.get("near", ())),
        not_before=frozenset(group.get("not_before", ())),
        not_after=frozenset(group.get("not_after", ())),
    )


def _hazard_rule(rule: Mapping[str, Any]) -> HazardRule:
    sets: dict[str, frozenset[str]] = {
        k: frozenset(rule.get(k, ())) for k in ("tools", "operations", "materials", "needs")
    }
    return HazardRule(
        name=rule["name"],
        caution=rule["caution"],
        source=rule["source"],
        phrases=tuple(rule.get("phrases", ())),
        warn=tuple(rule.get("warn", ())),
        grave=rule.get("grave", False),
        **sets,
    )


def _any_of(items: Sequence[str]) -> re.Pattern[str]:
    return re.compile("|".join(f"(?:{item})" for item in items))


def _phrases(data: Mapping[str, Any]) -> Phrases:
    return Phrases(
        unused_before=_any_of(data["not_used"]["before"]),
        unused_after=_any_of(data["not_used"]["after"]),
        purpose=_any_of(data["not_used"]["purpose"]),
        promise=_any_of(data["promise"]["strong"]),
        closing=_any_of(data["promise"]["closing"]),
        no_promise=_any_of(data["promise"]["never"]),
        mistake=tuple((re.compile(pattern), float(weight)) for pattern, weight in data["mistake"]["signs"]),
        no_mistake=_any_of(data["mistake"]["never"]),
        redo=_any_of(data["mistake"]["redo"]),
        warning=_any_of(data["warning"]["signs"]),
        heads=frozenset(data["grammar"]["heads"]),
        plain=frozenset(data["grammar"]["plain"]),
        carriers=tuple(data["grammar"]["carriers"]),
        not_er=frozenset(data["grammar"]["not_er"]),
    )
