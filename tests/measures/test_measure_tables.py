"""The tables and conversions agree with published values, with Pint and with Debian's units program."""

from __future__ import annotations

import json
import shutil
import subprocess
from fractions import Fraction
from pathlib import Path
from typing import Any

import pint
import pytest

from benchscribe import units as table
from benchscribe.measures import TradeReading, nearest_fraction, read
from benchscribe.measures.write import round_to

PUBLISHED: dict[str, Any] = json.loads(
    (Path(__file__).parent / "published-values.json").read_text(encoding="utf-8")
)
PINT_NAMES = {
    "inch": "inch",
    "foot": "foot",
    "yard": "yard",
    "thou": "thou",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
}


def one(text: str) -> TradeReading:
    """Read the one trade number of a text, which holds no size."""
    found = read(text, units="inch")
    assert found.measures == ()
    (number,) = found.trade_numbers
    return number


@pytest.fixture(scope="module")
def judge() -> pint.UnitRegistry[Any]:
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("unit", PINT_NAMES)
@pytest.mark.parametrize("to", PINT_NAMES)
def test_every_conversion_is_exactly_pints(judge: pint.UnitRegistry[Any], unit: str, to: str) -> None:
    value = Fraction(149, 64)
    wanted = judge.Quantity(value, PINT_NAMES[unit]).to(PINT_NAMES[to]).magnitude
    assert table.convert(value, unit, to) == wanted


@pytest.mark.parametrize("row", PUBLISHED["sixtyfourths"], ids=lambda row: row["fraction"])
def test_sixty_fourths_are_as_published(row: dict[str, str]) -> None:
    (measure,) = read(f'{row["fraction"]}"', units="inch").measures
    assert measure.value == Fraction(row["inch"])
    assert table.to_mm(measure.value, "inch") == Fraction(row["mm"])


@pytest.mark.parametrize(("number", "inches"), PUBLISHED["drill_number_in"].items())
def test_drill_numbers_are_as_published(number: str, inches: str) -> None:
    assert one(f"a number {number} drill").actual == ((Fraction(inches), "inch"),)


@pytest.mark.parametrize(("number", "inches"), PUBLISHED["screw_number_in"].items())
def test_screw_numbers_are_as_published(number: str, inches: str) -> None:
    assert one(f"a #{number} screw").actual == ((Fraction(inches), "inch"),)


@pytest.mark.parametrize(("gauge", "inches"), PUBLISHED["awg_in"].items())
def test_wire_gauges_are_as_published(gauge: str, inches: float) -> None:
    assert one(f"{gauge} gauge wire").actual == ((Fraction(str(inches)), "inch"),)


@pytest.mark.parametrize(("grit", "microns"), PUBLISHED["grit_P_micron"].items())
def test_grits_are_as_published(grit: str, microns: str) -> None:
    assert one(f"finish with P{grit}").actual == ((Fraction(microns) / 1000, "mm"),)


@pytest.mark.parametrize("thick", ["1", "2", "4"])
@pytest.mark.parametrize("wide", ["4", "6", "8", "10", "12"])
def test_dressed_softwood_is_as_published(thick: str, wide: str) -> None:
    actual = PUBLISHED["softwood_dry_actual_in"]
    if int(thick) > int(wide) or (thick == "4" and wide not in ("4", "6")):
        return
    number = one(f"a {thick}x{wide} stud")
    wanted = ((Fraction(actual["thickness"][thick]), "inch"), (Fraction(actual["width"][wide]), "inch"))
    assert number.actual == wanted


@pytest.mark.parametrize("rough", ["4/4", "5/4", "6/4", "8/4", "12/4", "16/4"])
def test_surfaced_hardwood_is_as_published(rough: str) -> None:
    assert one(f"some {rough} walnut").actual == ((Fraction(PUBLISHED["hardwood_S2S_in"][rough]), "inch"),)


def test_an_ounce_of_leather_is_a_sixty_fourth() -> None:
    assert one("eight ounce veg tan leather").actual == ((Fraction(1, 8), "inch"),)


@pytest.mark.parametrize(
    ("value", "digit", "rounded"),
    [("45.45", "0.1", "45.4"), ("45.75", "0.1", "45.8"), ("95.25", "0.1", "95.2"), ("2.5", "1", "2")],
)
def test_an_exact_tie_goes_to_the_even_digit(value: str, digit: str, rounded: str) -> None:
    assert round_to(Fraction(value), Fraction(digit)) == Fraction(rounded)


def test_the_nearest_sixteenth_has_its_error() -> None:
    assert nearest_fraction(Fraction("0.496"), (16,)) == (Fraction(1, 2), Fraction("0.004"))


@pytest.mark.slow
@pytest.mark.parametrize("drill", [1, 7, 21, 25, 43, 60])
def test_debians_units_program_agrees_on_drills(drill: int) -> None:
    program = shutil.which("units")
    assert program, "the Debian package 'units' is not installed"
    done = subprocess.run(
        [program, "-t", "-d", "8", f"drillgauge({drill})", "in"], capture_output=True, text=True, check=True
    )
    assert one(f"a number {drill} drill").actual[0][0] == Fraction(done.stdout.split()[0])


@pytest.mark.slow
@pytest.mark.parametrize("gauge", [10, 12, 14, 18, 22, 36])
def test_debians_units_program_agrees_on_wire(gauge: int) -> None:
    program = shutil.which("units")
    assert program, "the Debian package 'units' is not installed"
    done = subprocess.run(
        [program, "-t", "-d", "8", f"awg({gauge})", "in"], capture_output=True, text=True, check=True
    )
    exact = Fraction(done.stdout.split()[0])
    assert abs(one(f"{gauge} gauge wire").actual[0][0] - exact) <= Fraction(1, 20000)


@pytest.mark.slow
@pytest.mark.parametrize("screw", [0, 4, 8, 10, 14])
def test_debians_units_program_agrees_on_screws(screw: int) -> None:
    program = shutil.which("units")
    assert program, "the Debian package 'units' is not installed"
    done = subprocess.run(
        [program, "-t", "-d", "8", f"screwgauge({screw})", "in"], capture_output=True, text=True, check=True
    )
    assert one(f"a #{screw} screw").actual[0][0] == Fraction(done.stdout.split()[0])
