"""An invented episode at the bench, for tests of steps."""

from fractions import Fraction

from benchscribe.guide import make_guide
from benchscribe.records import (
    Chapter,
    Dimension,
    Finding,
    InHand,
    Listed,
    Measure,
    Mention,
    Mentions,
    Mistake,
    Part,
    PartList,
    Promise,
    Role,
    Step,
    Transcript,
    Utterance,
    Word,
)

Line = tuple[float, str, str]


class Bench:
    """An invented episode: (start, part in hand, sentence) lines, with what was found in them."""

    def __init__(self, *lines: Line, times: bool = True) -> None:
        """Say the lines, three words a second."""
        words: list[Word] = []
        utterances: list[Utterance] = []
        for start, _, text in lines:
            begin = len(words)
            for place, word in enumerate(text.split()):
                at = start + 0.3 * place
                words.append(Word(word, at, at + 0.3) if times else Word(word))
            span = (begin, len(words))
            utterances.append(Utterance(span, start if times else None, words[-1].end_s))
        self.talk = Transcript(
            files=(), clock="captions" if times else "none", words=tuple(words), utterances=tuple(utterances)
        )
        self.in_hand = tuple(
            InHand(utterance=n, parts=(part,) if part else (), confidence=0.9 if part else 0.1)
            for n, (_, part, _) in enumerate(lines)
        )
        self.mentions: list[Mention] = []
        self.measures: list[Measure] = []
        self.mistakes: tuple[Mistake, ...] = ()
        self.promises: tuple[Promise, ...] = ()
        self.findings: tuple[Finding, ...] = ()
        self.chapters: tuple[Chapter, ...] = ()

    def find(self, text: str) -> tuple[int, int]:
        said, wanted = [w.text.strip(".,?").lower() for w in self.talk.words], text.lower().split()
        start = next(i for i in range(len(said)) if said[i : i + len(wanted)] == wanted)
        return start, start + len(wanted)

    def operation(self, at: int, verb: str) -> Mention:
        """Make the mention of an operation at a word."""
        return Mention(
            kind="operation",
            name=verb,
            words=self.talk.words[at].text,
            span=(at, at + 1),
            start_s=self.talk.words[at].start_s,
        )

    def does(self, text: str, verb: str = "") -> "Bench":
        span = self.find(text)
        self.mentions.append(
            Mention(
                kind="operation",
                name=verb or text,
                words=text,
                span=span,
                start_s=self.talk.words[span[0]].start_s,
            )
        )
        return self

    def tool(self, text: str, *, used: bool = True) -> "Bench":
        self.mentions.append(Mention(kind="tool", name=text, words=text, span=self.find(text), used=used))
        return self

    def size(
        self, text: str, value: Fraction, part: str, dimension: Dimension, role: Role = "finished"
    ) -> "Bench":
        span = self.find(text)
        start = self.talk.words[span[0]].start_s
        self.measures.append(
            Measure(
                value=value,
                unit="inch",
                words=text,
                span=span,
                start_s=start,
                part=part,
                dimension=dimension,
                role=role,
            )
        )
        return self

    def steps(self) -> tuple[Step, ...]:
        found = Mentions(mentions=tuple(self.mentions), mistakes=self.mistakes, promises=self.promises)
        return make_guide(
            self.talk, tuple(self.measures), found, PLAN, self.in_hand, self.findings, self.chapters
        ).steps

    def told(self) -> list[tuple[str | None, str]]:
        return [(step.part, step.operation) for step in self.steps()]


def listed(*sizes: tuple[Dimension, Fraction | None]) -> tuple[Listed, ...]:
    return tuple(Listed(dimension=d, value=v, unit="inch", text="") for d, v in sizes)


PLAN = PartList(
    file="parts.csv",
    units="inch",
    units_why="stated",
    parts=(
        Part(
            name="Rail",
            row=2,
            count=2,
            material="ash",
            listed=listed(("width", Fraction(3)), ("length", Fraction(30))),
        ),
        Part(
            name="Panel",
            row=3,
            count=1,
            material="birch ply",
            listed=listed(("width", Fraction(10)), ("length", Fraction(20))),
        ),
        Part(
            name="Knob",
            row=4,
            count=1,
            material="cherry",
            listed=listed(("diameter", Fraction(2)), ("length", Fraction(3))),
        ),
        Part(name="Screw", row=5, count=8, hardware=True, listed=listed(("length", Fraction(2)))),
    ),
)
