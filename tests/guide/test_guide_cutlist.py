"""The cut list and its publish gate, and the stock to buy."""

from fractions import Fraction

import pytest
from msgspec import structs

from benchscribe.guide.cutlist import make_cut_list
from benchscribe.guide.gate import ASKING, doubtful
from benchscribe.guide.stock import make_shopping, nominal_board
from benchscribe.records import CutSize, Dimension, Finding, Listed, Measure, Part, PartList, Said


def part(
    name: str = "Rail",
    *,
    length: Fraction | None = Fraction(30),
    material: str = "pine",
    count: int | None = 2,
) -> Part:
    sizes: tuple[tuple[Dimension, Fraction | None], ...] = (
        ("thickness", Fraction(3, 4)),
        ("width", Fraction(3)),
        ("length", length),
    )
    listed = tuple(Listed(dimension=d, value=v, unit="inch", text=str(v or "")) for d, v in sizes)
    return Part(name=name, row=2, count=count, listed=listed, material=material)


def plan(*parts: Part) -> PartList:
    return PartList(file="parts.csv", parts=parts, units="inch", units_why="stated")


def finding(**more: object) -> Finding:
    given: dict[str, object] = {
        "id": "f1", "kind": "slip", "part": "Rail", "dimension": "length", "spoken": Said(Fraction(31), "inch"), "listed": Said(Fraction(30), "inch"),
    }  # fmt: skip
    return Finding(**{**given, **more})  # type: ignore[arg-type]


def length(*findings: Finding, listed: Fraction | None = Fraction(30)) -> CutSize:
    row = make_cut_list(plan(part(length=listed)), findings)[0]
    return next(size for size in row.sizes if size.dimension == "length")


def test_a_listed_size_says_that_it_is_listed() -> None:
    assert length() == CutSize(dimension="length", value=Fraction(30), unit="inch", origin="listed")


def test_an_open_slip_leaves_the_listed_value_marked() -> None:
    assert length(finding()) == CutSize(
        dimension="length", value=Fraction(30), unit="inch", origin="listed", check=True
    )


def test_a_declared_correction_takes_the_place_of_the_listed_value() -> None:
    size = length(finding(kind="plan-wrong", status="declared"))
    assert (size.value, size.origin, size.was, size.check) == (Fraction(31), "corrected", Fraction(30), False)


def test_a_change_by_choice_says_so() -> None:
    size = length(finding(kind="changed", status="declared"))
    assert (size.value, size.origin, size.was) == (Fraction(31), "changed", Fraction(30))


@pytest.mark.parametrize(
    ("how", "origin"), [("measured", "measured"), ("scaled", "scaled"), ("said", "said")]
)
def test_a_missing_size_that_was_given_says_how(how: str, origin: str) -> None:
    size = length(finding(kind="supplied", status="declared", supplied_how=how, listed=None), listed=None)
    assert (size.value, size.origin, size.was) == (Fraction(31), origin, None)


def test_an_open_missing_size_stays_blank_and_marked() -> None:
    size = length(finding(kind="supplied", listed=None), listed=None)
    assert (size.value, size.origin, size.check) == (None, "blank", True)


def test_an_accepted_slip_leaves_the_listed_size() -> None:
    size = length(finding(status="accepted"))
    assert (size.value, size.origin, size.was, size.check) == (Fraction(30), "listed", None, False)


def test_an_accepted_slip_against_a_list_that_cannot_be_right_gives_what_arithmetic_gives() -> None:
    size = length(finding(status="accepted", probably_right=Said(Fraction(29), "inch")))
    assert (size.value, size.origin, size.was) == (Fraction(29), "worked-out", Fraction(30))


def test_an_amended_slip_is_the_makers_answer() -> None:
    size = length(finding(status="amended", spoken=Said(Fraction(63, 2), "inch")))
    assert (size.value, size.origin, size.was) == (Fraction(63, 2), "said", Fraction(30))


def test_a_dismissed_finding_changes_nothing() -> None:
    assert length(finding(status="dismissed")) == length()


def test_a_right_derivation_marks_nothing() -> None:
    assert not length(finding(kind="derived", right=True)).check


def test_a_settled_correction_stays_doubtful_while_another_value_is_open_against_it() -> None:
    size = length(
        finding(kind="plan-wrong", status="declared"), finding(id="f2", spoken=Said(Fraction(32), "inch"))
    )
    assert (size.value, size.check) == (Fraction(31), True)


def test_an_open_count_keeps_the_listed_count_and_asks() -> None:
    row = make_cut_list(
        plan(part()), [finding(kind="count", dimension=None, spoken=Said(Fraction(3), "count"))]
    )[0]
    assert (row.count, row.notes) == (2, "check the count")


def test_bought_parts_are_not_cut() -> None:
    screw = Part(name="Screw", row=3, count=8, hardware=True)
    assert [row.part for row in make_cut_list(plan(part(), screw), [])] == ["Rail"]


def test_no_part_list_gives_no_rows() -> None:
    assert make_cut_list(None, []) == ()
    assert make_shopping((), None) == ()


def _said(value: Fraction, span: tuple[int, int]) -> Measure:
    return Measure(
        value=value,
        unit="inch",
        words="",
        span=span,
        part="Rail",
        dimension="length",
        listed=Fraction(30),
        listed_unit="inch",
    )


def test_the_gate_puts_the_listed_value_in_the_place_of_a_doubtful_one_wherever_it_is_said() -> None:
    measures = [_said(Fraction(31), (4, 5)), _said(Fraction(30), (9, 10)), _said(Fraction(31), (40, 41))]
    assert doubtful(measures, [finding(span=(2, 7))]) == {0: "30 in (check)", 2: "30 in (check)"}


def test_the_gate_prefers_what_arithmetic_gives() -> None:
    wrong_sum = finding(
        kind="derived",
        right=False,
        span=(2, 7),
        spoken=Said(Fraction(172), "inch"),
        probably_right=Said(Fraction(171), "inch"),
    )
    assert doubtful([_said(Fraction(172), (4, 5))], [wrong_sum]) == {0: "171 in (check)"}


def test_the_gate_asks_where_nothing_can_stand_in() -> None:
    wrong_sum = finding(kind="derived", right=False, span=(2, 7), spoken=Said(Fraction(172), "inch"))
    assert doubtful([_said(Fraction(172), (4, 5))], [wrong_sum]) == {0: ASKING}


@pytest.mark.parametrize(
    ("kind", "status"),
    [
        ("plan-wrong", "declared"),
        ("plan-wrong", "accepted"),
        ("changed", "accepted"),
        ("supplied", "accepted"),
        ("slip", "amended"),
        ("slip", "dismissed"),
    ],
)
def test_the_gate_lets_settled_values_through(kind: str, status: str) -> None:
    settled = finding(span=(2, 7), kind=kind, status=status)
    assert doubtful([_said(Fraction(31), (4, 5))], [settled]) == {}


def test_an_accepted_slip_prints_the_listed_value() -> None:
    assert doubtful([_said(Fraction(31), (4, 5))], [finding(span=(2, 7), status="accepted")]) == {0: "30 in"}


def test_an_accepted_wrong_sum_prints_the_right_one() -> None:
    wrong_sum = finding(
        kind="derived",
        right=False,
        status="accepted",
        span=(2, 7),
        spoken=Said(Fraction(172), "inch"),
        probably_right=Said(Fraction(171), "inch"),
    )
    assert doubtful([_said(Fraction(172), (4, 5))], [wrong_sum]) == {0: "171 in"}


def test_an_amended_value_is_printed_for_the_words_that_it_amends() -> None:
    said = structs.replace(_said(Fraction(31), (4, 5)), words="thirty one")
    other = structs.replace(_said(Fraction(31), (40, 41)), words="thirty one")
    amended = finding(span=(2, 7), status="amended", spoken=Said(Fraction(32), "inch", "thirty one"))
    assert doubtful([said, other], [amended]) == {0: "32 in"}


def test_an_accepted_wrong_sum_fills_a_blank_cell_with_the_right_value() -> None:
    wrong_sum = finding(
        kind="derived", right=False, status="accepted", probably_right=Said(Fraction(29), "inch"), listed=None
    )
    size = length(wrong_sum, listed=None)
    assert (size.value, size.origin) == (Fraction(29), "worked-out")


def test_an_accepted_wrong_sum_says_nothing_against_a_listed_size() -> None:
    wrong_sum = finding(
        kind="derived", right=False, status="accepted", probably_right=Said(Fraction(29), "inch")
    )
    assert length(wrong_sum) == length()


@pytest.mark.parametrize(
    ("material", "thickness", "width", "stock"),
    [
        ("western red cedar", Fraction(3, 4), Fraction(7, 2), "1x4"),
        ("western red cedar", Fraction(11, 8), Fraction(11, 8), "2x2"),
        ("pine", Fraction(1), Fraction(6), "5/4x8"),
        ("hard maple", Fraction(13, 16), Fraction(3), "4/4"),
        ("hard maple", Fraction(7, 8), Fraction(3), "5/4"),
        ("ash", Fraction(4), Fraction(3), ""),
        ("brass", Fraction(1, 8), Fraction(3), ""),
    ],
)
def test_nominal_stock_is_the_smallest_that_dresses_to_the_size(
    material: str, thickness: Fraction, width: Fraction, stock: str
) -> None:
    """Tables: softwood PS 20, hardwood surfaced two sides, as published."""
    assert nominal_board(material, thickness, width)[0] == stock


def test_board_feet_are_counted_on_nominal_sizes() -> None:
    """A 1x4 of eight feet is 2 2/3 board feet."""
    board = Part(
        name="Shelf", row=2, count=1, material="pine",
        listed=tuple(Listed(dimension=d, value=v, unit="inch", text="") for d, v in (("thickness", Fraction(3, 4)), ("width", Fraction(7, 2)), ("length", Fraction(96)))),
    )  # fmt: skip
    (row,) = make_shopping(make_cut_list(plan(board), []), plan(board))
    assert (row.buy, row.board_feet, row.running_length, row.area) == (
        "1x4",
        Fraction(8, 3),
        Fraction(96),
        Fraction(336),
    )


def test_parts_of_one_material_and_thickness_stand_together() -> None:
    parts = plan(part("Rail"), part("Stile", count=4), part("Panel", material="birch ply"))
    rows = make_shopping(make_cut_list(parts, []), parts)
    assert [(row.material, row.parts, row.pieces) for row in rows] == [
        ("pine", ("Rail", "Stile"), 6),
        ("birch ply", ("Panel",), 2),
    ]
    assert rows[1].board_feet is None


def test_a_part_with_a_size_missing_is_named_and_not_counted() -> None:
    parts = plan(part("Rail"), part("Stile", length=None))
    (row,) = make_shopping(make_cut_list(parts, []), parts)
    assert (row.without, row.pieces, row.running_length) == (("Stile",), None, Fraction(60))


def test_stock_with_a_doubtful_size_is_marked() -> None:
    parts = plan(part())
    assert make_shopping(make_cut_list(parts, [finding()]), parts)[0].check
