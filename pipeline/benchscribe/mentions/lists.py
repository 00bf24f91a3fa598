"""The tools and the materials of an episode, each once, in the order in which they were first used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from benchscribe.mentions.keys import letters, singular
from benchscribe.mentions.vocabulary import load_vocabulary
from benchscribe.records import ListedName, Mention, Mentions

_SURE: Final = 0.5
"""Below this a name is too general, or too doubtful, for a list."""
_ALONE: Final = 0.4
_GENERAL: Final = frozenset(("saw", "gauge", "tape"))
"""General words that stand for the only one of their kind where they are named surely enough (`_ALONE`)."""
_STUFF: Final = frozenset({"species", "sheet_goods", "metals", "plastics", "leather", "cloth", "listed"})
"""Groups in which a longer name is a kind of the shorter."""
_MACHINES: Final = frozenset({"machines", "generic"})
_BITS: Final = frozenset({"cutters", "holes"})
_CLOTHS: Final = frozenset(
    "canvas cotton linen wool denim silk ripstop twill corduroy velvet sailcloth duck hessian calico tweed felt muslin".split()
)
_KINDS_OF: Final = {
    "cloth": _CLOTHS,
    "fabric": _CLOTHS,
    "leather": frozenset(("veg tan leather", "bridle leather", "chrome tan leather", "goatskin", "calfskin")),
    "resin": frozenset(("epoxy", "resin")),
    "glue": frozenset(
        ("wood glue", "hide glue", "super glue", "wheat paste", "pva", "contact cement", "contact glue")
    ),
}
"""General words, and what they stand for where that is named too."""
_APART: Final = frozenset(
    {
        "hot glue",
        "super glue",
        "contact cement",
        "spray adhesive",
        "cutting oil",
        "machine oil",
        "mineral oil",
        "fabric glue",
        "hide glue",
        "construction adhesive",
        "masking tape",
        "double sided tape",
        "copper",
        "card stock",
    }
)
"""Things that do not stand for their general word: "oil" beside "cutting oil" is another oil."""


def listed_tools(mentions: Mentions) -> tuple[ListedName, ...]:
    """Give the tools that were used, each once.

    Args:
        mentions: What `find_mentions` found; tools only talked about, and things to protect oneself with, stay out.
    """
    protection = _protection()
    return _listed(m for m in mentions.mentions if m.kind == "tool" and m.name not in protection)


def listed_materials(mentions: Mentions) -> tuple[ListedName, ...]:
    """Give materials, fasteners, fittings, glues and finishes that were used, each once."""
    return _listed(m for m in mentions.mentions if m.kind in ("material", "hardware", "finish"))


def _protection() -> frozenset[str]:
    return frozenset(t.name for t in load_vocabulary().terms.values() if t.group == "protection")


def _listed(found: Iterable[Mention]) -> tuple[ListedName, ...]:
    by_name: dict[str, list[Mention]] = {}
    found = tuple(found)
    for mention in found:
        if mention.used and mention.confidence >= _SURE:
            by_name.setdefault(mention.name, []).append(mention)
    _add_alone(found, by_name)
    groups = {t.name: t.group for t in load_vocabulary().terms.values()}
    home = {name: _home(name, by_name, groups) for name in by_name}
    for name, other in home.items():
        if other != name:
            by_name[other] = sorted(by_name[other] + by_name[name], key=lambda m: m.span)
    return tuple(_entry(name, by_name[name]) for name in by_name if home[name] == name)


def _add_alone(found: Iterable[Mention], by_name: dict[str, list[Mention]]) -> None:
    """Add a general word that stands for the only one of its kind: "the saw" where no saw is named."""
    for mention in found:
        alone = mention.used and _ALONE <= mention.confidence < _SURE and " " not in mention.name
        word = singular(mention.name)
        if (
            alone
            and mention.name in _GENERAL
            and not any(
                name != mention.name and singular(name.split()[-1]).endswith(word) for name in by_name
            )
        ):
            by_name.setdefault(mention.name, []).append(mention)


def _home(name: str, by_name: Mapping[str, list[Mention]], groups: dict[str, str]) -> str:
    """Give the more particular name that a general one stands for, or the name itself.

    "plane" stands for the block plane where that is the only one, "brass" for the brass shim; "oil" is not "cutting oil", a drill is no
    step drill.
    """
    words = [_same(w) for w in name.split()]
    vocabulary = load_vocabulary()
    kinds = _KINDS_OF.get(name, frozenset())
    for other in by_name:
        if other == name:
            continue
        longer = [_same(w) for w in other.split()]
        if words == longer:
            return max(name, other, key=lambda n: (len(n), n))
        if vocabulary.usual(other) in kinds or other.split()[-1] in kinds:
            return other
        if name == "drill" and vocabulary.usual(other) == "drill press":
            return other
        if vocabulary.usual(other) in _APART or _is_other(name, other, groups):
            continue
        stuff = groups.get(name, "listed") in _STUFF and groups.get(other, "listed") in _STUFF
        same = vocabulary.usual(name) == vocabulary.usual(other)
        alike = set(words) < set(longer) and (stuff or same)
        if len(longer) > len(words) and (longer[-len(words) :] == words or alike):
            return other
    return name


def _same(word: str) -> str:
    """Give one spelling for the forms of a word: "ply" and "plywood"."""
    plain = singular(letters(word))
    return "plywood" if plain == "ply" else plain


def _is_other(name: str, other: str, groups: dict[str, str]) -> bool:
    """Tell a machine from the bit or the cutter that is called after it: "mill" and "face mill", "drill" and "step drill"."""
    return groups.get(name) in _MACHINES and groups.get(other) in _BITS


def _entry(name: str, found: list[Mention]) -> ListedName:
    first = found[0]
    own = {singular(letters(w)) for w in name.split()}
    details = []
    for mention in found:
        extra = " ".join(w for w in mention.words.split() if singular(letters(w)) not in own).strip(" ,.")
        if extra and any(c.isdigit() for c in extra) and extra not in details:
            details.append(extra)
    times = tuple(dict.fromkeys(m.start_s for m in found if m.start_s is not None))
    return ListedName(
        start_s=first.start_s, end_s=first.end_s, name=name, detail=", ".join(details[:3]), times=times
    )
