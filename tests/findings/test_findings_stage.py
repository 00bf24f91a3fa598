"""Findings: what disagrees, what is declared, what is worked out, and what must never be a finding."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

import pytest
from bench_talk import named, part, plan, transcript_of
from msgspec import structs

from benchscribe.findings import Found, find_findings
from benchscribe.measures.stage import find_measures
from benchscribe.place import place
from benchscribe.records import FINDING_KINDS, Finding, Mistake, PartList, Said

TRAY = plan(
    part("Long side", 2, thickness="1/2", width="2 3/4", length="19 1/4"),
    part("Short side", 2, thickness="1/2", width="2 3/4", length="12 5/8"),
    part("Bottom panel", 1, thickness="1/4", width="12 1/8", length="18 3/4", material="birch ply"),
    part("Handle", 4, diameter="7/8", length="5 1/2"),
    part("Wedge", 8, thickness="3/16", width="5/8", length=""),
    part("Brace", 2, thickness="1/2", width="1 1/2", length="14", angle="35 deg"),
)


def found(text: str, part_list: PartList = TRAY, markers: Mapping[str, Sequence[str]] | None = None) -> Found:
    """Find all that a text gives."""
    transcript = transcript_of(text)
    measures, numbers = find_measures(transcript, part_list.units)
    mentions = named(transcript, part_list)
    result = place(transcript, measures, numbers, mentions, part_list)
    return find_findings(
        transcript, result.measures, mentions, part_list, result.in_hand, markers=markers or {}
    )


def to_know(text: str, part_list: PartList = TRAY) -> list[Finding]:
    """Give the findings that are no confirmations."""
    return [f for f in found(text, part_list).findings if f.right is not True]


SLIP = "Now the long sides. They are half thick and two and three quarters wide, and nineteen and three eighths long."


def test_a_size_that_differs_with_no_remark_is_a_slip() -> None:
    (finding,) = to_know(SLIP)
    assert (finding.kind, finding.part, finding.dimension) == ("slip", "Long side", "length")
    assert finding.spoken is not None
    assert finding.spoken.value == Fraction(155, 8)
    assert finding.listed == Said(Fraction(77, 4), "inch", "19 1/4")
    assert (finding.status, finding.declared) == ("open", False)


def test_a_finding_says_where_to_listen_and_quotes_its_sentence() -> None:
    (finding,) = to_know("Hello. " * 200 + SLIP)
    assert "listen at 1:2" in finding.advice
    assert "nineteen and three eighths long" in finding.sentence
    assert "19 3/8 in" in finding.why
    assert "19 1/4 in" in finding.why


def test_a_plan_called_wrong_is_plan_wrong_and_the_value_read_aloud_is_not() -> None:
    text = (
        "The bottom panel next. The drawing says eighteen and three quarters long, and that is wrong. "
        "It needs to be eighteen and a half long."
    )
    (finding,) = to_know(text)
    assert (finding.kind, finding.part, finding.dimension) == ("plan-wrong", "Bottom panel", "length")
    assert finding.spoken is not None
    assert finding.spoken.value == Fraction(37, 2)
    assert (finding.status, finding.declared) == ("declared", True)


def test_a_choice_is_changed_and_no_fault_of_the_plan() -> None:
    text = (
        "The handles. The list has five and a half long. I prefer them longer, so mine are six inches long."
    )
    (finding,) = to_know(text)
    assert (finding.kind, finding.part, finding.dimension) == ("changed", "Handle", "length")


def test_a_plan_called_right_makes_it_a_choice() -> None:
    text = (
        "The handles. The sheet says five and a half long, and that was right till I moved the ends. "
        "So mine are six inches long, scratch that out on yours."
    )
    (finding,) = to_know(text)
    assert finding.kind == "changed"


@pytest.mark.parametrize(
    ("words", "how"),
    [
        (
            "There's a blank on the list, so I held one up with the rule and it came to three and a quarter long",
            "measured",
        ),
        ("There's a blank on the list. I scaled it off the drawing at three and a quarter long", "scaled"),
        ("The list doesn't say how long. They're three and a quarter long", "said"),
    ],
)
def test_a_size_that_the_list_leaves_open_is_supplied(words: str, how: str) -> None:
    (finding,) = to_know(f"Now the wedges. {words}.")
    assert (finding.kind, finding.part, finding.dimension) == ("supplied", "Wedge", "length")
    assert finding.supplied_how == how


def test_one_thing_said_three_times_is_one_finding_with_three_times() -> None:
    text = (
        SLIP
        + " I set the stop for the long sides at nineteen and three eighths long. Nineteen and three eighths long."
    )
    (finding,) = to_know(text)
    assert len(finding.repeated) == 2


def test_a_wrong_half_is_a_finding_and_says_what_it_should_be() -> None:
    (finding,) = to_know("The bottom panel. Half of 18 3/4 inches is 9 5/8 inches.")
    assert (finding.kind, finding.right, finding.dimension) == ("derived", False, "length")
    assert finding.probably_right == Said(Fraction(75, 8), "inch")


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("The bottom panel. Half of 18 3/4 inches is 9 3/8 inches.", "length"),
        ("The handles. Half of 7/8 inch is 7/16 inch.", "radius"),
        ("The brace. 90 degrees less 35 degrees is 55 degrees.", "angle"),
    ],
)
def test_a_right_sum_is_a_confirmation(text: str, dimension: str) -> None:
    findings = found(text).findings
    assert [(f.kind, f.right, f.dimension) for f in findings] == [("derived", True, dimension)]


def test_a_wrong_complement_is_a_finding() -> None:
    (finding,) = to_know("The brace. 90 degrees less 35 degrees is 65 degrees.")
    assert (finding.kind, finding.right) == ("derived", False)
    assert finding.probably_right == Said(Fraction(55), "degree")


@pytest.mark.parametrize(
    "text",
    [
        "The handles. The list has four. I need six.",
        "Then the handles, six of them.",
        "For the handles you want three left, three right.",
    ],
)
def test_another_number_of_pieces_is_a_count(text: str) -> None:
    (finding,) = to_know(text)
    assert (finding.kind, finding.part) == ("count", "Handle")
    assert finding.spoken is not None
    assert (finding.spoken.value, finding.spoken.unit) == (6, "count")
    assert finding.listed == Said(Fraction(4), "count")


@pytest.mark.parametrize(
    "text",
    [
        "Then the handles, four of them.",
        "The handles. Two of them split.",
        "The handles. I cut two of them last night.",
        "The handles, two each end.",
        "For the handles you want two left, two right.",
        "The handles. There's a hole every six inches.",
    ],
)
def test_the_listed_number_or_a_part_of_it_is_no_finding(text: str) -> None:
    assert to_know(text) == []


@pytest.mark.parametrize(
    "text",
    [
        "The handles. They are six, no, sorry, five and a half long.",
        "The handles are roughed out at an inch across, and then they come down to seven eighths across.",
        "The handles. Use a three quarter inch drill bit.",
        "The handles. I leave them an eighth oversize.",
        "The handles. My last ones were six inches and they broke.",
        "The bottom panel is a quarter thick, well, the calipers say .219 thick.",
        "The long sides come out of a five quarter board.",
        "I got up at seven thirty and there are 40 minutes on the clock.",
    ],
)
def test_what_is_taken_back_rough_or_of_a_tool_is_never_a_finding(text: str) -> None:
    assert to_know(text) == []


def test_a_value_inside_a_mistake_is_never_a_finding() -> None:
    transcript = transcript_of(
        "The handles. I cut it at five and a quarter long and that was the pencil line of the lid."
    )
    measures, numbers = find_measures(transcript, "inch")
    mentions = structs.replace(
        named(transcript, TRAY), mistakes=(Mistake(span=(2, len(transcript.words)), why="that was"),)
    )
    result = place(transcript, measures, numbers, mentions, TRAY)
    assert find_findings(transcript, result.measures, mentions, TRAY, result.in_hand).findings == ()


def test_a_groove_as_deep_as_its_piece_is_impossible() -> None:
    (finding,) = to_know("Now the long sides. The groove in the long sides goes five eighths deep.")
    assert finding.kind == "impossible"
    assert "1/2 in thick" in finding.why


def test_a_hole_said_twice_differently_is_a_contradiction() -> None:
    text = (
        "The handles. The rivet hole in the handles is a quarter inch deep. "
        + "I sand them while the kettle boils. " * 6
        + "The handles. The rivet hole in the handles is three eighths deep."
    )
    (finding,) = to_know(text)
    assert finding.kind == "contradiction"


def test_without_a_plan_only_sums_are_judged() -> None:
    transcript = transcript_of("Half of 18 3/4 inches is 9 5/8 inches. It is 12 long.")
    measures, numbers = find_measures(transcript, "inch")
    mentions = named(transcript, plan())
    result = place(transcript, measures, numbers, mentions, None)
    got = find_findings(transcript, result.measures, mentions, None, result.in_hand)
    assert [(f.kind, f.right) for f in got.findings] == [("derived", False)]
    assert got.coverage.listed == 0


def test_coverage_counts_what_was_heard() -> None:
    coverage = found(
        "The long sides are half thick and two and three quarters wide. The handles are seven eighths across."
    ).coverage
    assert (coverage.listed, coverage.agree, coverage.disagree, coverage.never_said) == (17, 3, 0, 14)
    assert coverage.unheard_parts == ("Short side", "Bottom panel", "Wedge", "Brace")
    assert coverage.sentence().startswith("3 of 17 listed sizes heard and agree")


def test_the_makers_own_phrase_declares_that_the_plan_is_wrong() -> None:
    markers = {"plan_note": ["red pencil time"]}
    (finding,) = [f for f in found("Red pencil time. " + SLIP, markers=markers).findings if not f.right]
    assert (finding.kind, finding.declared) == ("plan-wrong", True)


def test_the_makers_own_phrase_strikes_its_passage() -> None:
    text = SLIP.replace(" long.", " long, snip snip.")
    result = found(text, markers={"leave_out": ["snip snip"]})
    assert result.findings == ()
    assert len(result.struck) == 1


def test_the_kinds_stand_in_their_order_of_precedence() -> None:
    assert FINDING_KINDS == (
        "plan-wrong", "changed", "supplied", "derived", "slip", "count", "impossible", "contradiction",
    )  # fmt: skip


def test_the_same_talk_gives_the_same_names() -> None:
    assert [f.id for f in found(SLIP).findings] == [f.id for f in found(SLIP).findings]
