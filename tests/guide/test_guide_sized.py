"""What a cut is called by the piece and its sizes."""

from fractions import Fraction

import pytest
from guide_bench import listed

from benchscribe.guide.sized import _turned
from benchscribe.records import Part


@pytest.mark.parametrize(("across", "along", "turned"), [(2, 3, True), (2, 40, True), (2, 90, False)])
def test_a_spar_is_not_turned(across: int, along: int, *, turned: bool) -> None:
    sizes = listed(("diameter", Fraction(across)), ("length", Fraction(along)))
    assert _turned(Part(name="Boom", row=1, material="spruce", listed=sizes)) is turned
