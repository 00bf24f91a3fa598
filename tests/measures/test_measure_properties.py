"""What holds for every size and for every text."""

from __future__ import annotations

import random
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from ways_of_saying import WAYS, cardinal

from benchscribe import units as table
from benchscribe.measures import (
    Style,
    nearest_fraction,
    read,
    read_size,
    read_words,
    write_dual,
    write_measure,
)

EVERY_SIXTY_FOURTH = [Fraction(n, 64) for n in range(1, 12 * 12 * 64 + 1)]
STYLES: tuple[Style, ...] = ("in", "marks", "ft-in", "ft-in-marks", "decimal")
_TALK = (Path(__file__).parent / "talk-words.txt").read_text(encoding="utf-8").split()


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
def test_every_sixty_fourth_to_twelve_feet_comes_back(way: Callable[[Fraction], str | None]) -> None:
    wrong = []
    said = 0
    for value in EVERY_SIXTY_FOURTH:
        text = way(value)
        if text is None:
            continue
        said += 1
        found = [(m.value, m.unit) for m in read(text, units="inch").measures]
        if len(found) != 1 or table.to_mm(*found[0]) != table.to_mm(value, "inch"):
            wrong.append((text, found))
    assert said
    assert wrong == []


@given(st.integers(2, 9999))
def test_whole_millimetres_come_back(n: int) -> None:
    for text in (f"{cardinal(n)} millimetres", f"{n} mm", f"{n}mm", f"{n:,} mm"):
        assert [(m.value, m.unit) for m in read(text, units="mm").measures] == [(n, "mm")]


@given(st.integers(1, 99999), st.integers(1, 3), st.sampled_from(["mm", "cm", "m"]))
def test_typed_decimals_come_back(n: int, places: int, unit: str) -> None:
    value = Fraction(n, 10**places)
    text = f"{n / 10**places:.{places}f} {unit}"
    assert [(m.value, m.unit) for m in read(text, units="mm").measures] == [(value, unit)]


@given(st.sampled_from(EVERY_SIXTY_FOURTH), st.sampled_from(STYLES))
def test_what_is_written_reads_back(value: Fraction, style: Style) -> None:
    text = write_measure(value, "inch", style)
    exact = style != "decimal" or (value * 10000).denominator == 1
    found = read_size(text, units="inch")
    assert len(found) == 1
    difference = abs(table.to_mm(found[0].value, found[0].unit) - table.to_mm(value, "inch"))
    assert difference == 0 if exact else difference <= table.to_mm(Fraction(1, 20000), "inch")


@given(st.integers(1, 20000), st.sampled_from(["mm", "cm", "m", "degree", "thou"]))
def test_metric_angles_and_thou_read_back(n: int, unit: str) -> None:
    value = Fraction(n, 10)
    assume(unit != "degree" or value <= 360)
    found = read(write_measure(value, unit), units="mm").measures
    assert [(m.value, m.unit) for m in found] == [(value, unit)]


@given(st.sampled_from(EVERY_SIXTY_FOURTH), st.sampled_from([(2,), (4,), (8,), (16,), (1, 2, 4, 8, 16, 32)]))
def test_the_nearest_fraction_is_within_half_a_graduation(
    value: Fraction, graduations: tuple[int, ...]
) -> None:
    nearest, error = nearest_fraction(value, graduations)
    assert nearest - value == error
    assert abs(error) <= Fraction(1, 2 * max(graduations))


@given(st.sampled_from(EVERY_SIXTY_FOURTH))
def test_the_second_of_a_dual_size_is_right_to_its_last_digit(value: Fraction) -> None:
    mm = write_dual(value, "inch").rpartition("(")[2].removesuffix(" mm)")
    digit = Fraction(1, 10 ** len(mm.partition(".")[2]))
    assert abs(Fraction(mm) - table.to_mm(value, "inch")) <= max(digit, Fraction(1, 10)) / 2 + digit


def _check(text: str) -> None:
    found = read(text, units="inch")
    words = text.split()
    again = read(text, units="inch")
    assert found == again
    for m in (*found.measures, *found.trade_numbers):
        assert 0 <= m.span[0] < m.span[1] <= len(words)
        assert text[m.chars[0] : m.chars[1]].split() == m.words.split()
    for m in found.measures:
        assert m.value >= 0
        assert m.unit in table.LENGTHS | {"degree"}
        if m.replaced_by is not None:
            assert m.taken_back
            assert 0 <= m.replaced_by < len(found.measures)
    for left, right in pairwise(found.measures):
        assert left.chars[1] <= right.chars[0]


def test_ten_thousand_lines_of_nonsense_do_no_harm() -> None:
    chance = random.Random(20240501)  # noqa: S311 - the same lines every time
    for _ in range(10_000):
        _check(" ".join(chance.choice(_TALK) for _ in range(chance.randrange(1, 14))))


@settings(max_examples=300)
@given(st.text(max_size=60))
def test_any_text_does_no_harm(text: str) -> None:
    _check(text)


@settings(max_examples=200)
@given(st.lists(st.text(alphabet="0123456789/-'\".,x ½¾°mMthsndin", min_size=1, max_size=12), max_size=8))
def test_any_heap_of_figures_and_marks_does_no_harm(words: list[str]) -> None:
    _check(" ".join(words))


@given(st.lists(st.sampled_from(_TALK), max_size=30))
def test_split_words_and_text_read_alike(words: list[str]) -> None:
    split = " ".join(words).split()
    assert read_words(split, units="mm") == read(" ".join(split), units="mm")


@given(st.lists(st.sampled_from(_TALK), max_size=12))
def test_a_cell_does_no_harm(words: list[str]) -> None:
    for m in read_size(" ".join(words), units="mm"):
        assert m.value > 0
