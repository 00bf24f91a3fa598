from __future__ import annotations

import csv
import io
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace
from odd_records import HOSTILE, bare, hostile, without_times
from outside_checks import vtt_faults
from sample_records import cabinet, published

from benchscribe.writers.gate import doubt_of
from benchscribe.writers.overlays import overlays_csv, overlays_vtt
from benchscribe.writers.tables import (
    corrections_csv,
    cutlist_csv,
    shop_cutlist_csv,
)
from benchscribe.writers.text import cell
from benchscribe.writers.view import make_view

Golden = Callable[[str, str | bytes], None]


def rows(data: bytes | None) -> list[dict[str, str]]:
    assert data is not None
    return list(csv.DictReader(io.StringIO(data.decode(), newline="")))


def test_the_sample_is_as_agreed(golden: Golden) -> None:
    view = make_view(cabinet())
    golden("writers/cabinet.corrections.csv", corrections_csv(view))
    golden("writers/cabinet.cutlist.csv", cutlist_csv(view))
    golden("writers/cabinet.shop-cutlist.csv", shop_cutlist_csv(view) or b"")
    golden("writers/cabinet.overlays.csv", overlays_csv(view) or b"")
    golden("writers/cabinet.overlays.vtt", overlays_vtt(view) or b"")


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("write", [corrections_csv, cutlist_csv, shop_cutlist_csv, overlays_csv])
def test_no_cell_can_act_as_a_formula_and_every_row_is_whole(write: Callable[..., Any], name: str) -> None:
    data = write(make_view(hostile(name)))
    table = list(csv.reader(io.StringIO(data.decode(), newline=""), strict=True))
    assert len({len(row) for row in table}) == 1
    assert not [c for row in table for c in row if c.startswith(("=", "+", "-", "@", "\t", "\r", "\0"))]
    assert data.endswith(b"\r\n")


@pytest.mark.parametrize(
    "text",
    [
        "=1",
        "+1",
        "-1",
        "@x",
        " =1",
        "\t=1",
        "\r=1",
        "\0=1",
        "\uff1d1",
        "\uff0b1",
        "\uff0d1",
        "\uff201",
        "\u00a0=1",
    ],
)
def test_a_formula_gets_an_apostrophe(text: str) -> None:
    assert cell(text).startswith("'")


def test_ordinary_text_gets_none() -> None:
    assert cell("3 3/4 in, a-b") == "3 3/4 in, a-b"


def test_corrections_hold_only_what_is_published() -> None:
    kinds = [row["kind"] for row in rows(corrections_csv(make_view(cabinet())))]
    assert kinds == ["plan-wrong", "supplied", "changed"]


def test_a_private_plan_keeps_its_sizes_out_of_the_public_cut_list() -> None:
    public = rows(cutlist_csv(make_view(cabinet())))
    assert [row["part"] for row in public] == ["Side", "Drawer bottom", "Knob"]
    text = (cutlist_csv(make_view(cabinet()))).decode()
    assert "7 1/4" not in text
    assert "walnut" not in text


def test_an_own_plan_goes_out_whole_and_needs_no_shop_copy() -> None:
    record = cabinet()
    own = make_view(replace(record, info=replace(record.info, plan="own")))
    assert len(rows(cutlist_csv(own))) == len(record.cut_list)
    assert shop_cutlist_csv(own) is None


def test_a_doubtful_size_is_listed_and_marked() -> None:
    shelf = next(r for r in rows(shop_cutlist_csv(make_view(cabinet()))) if r["part"] == "Shelf")
    assert shelf["length"] == "22 1/2 in (check)"
    assert shelf["check"] == "length"


def test_a_slip_owned_up_to_is_never_in_the_cut_list() -> None:
    record = published()
    said = replace(
        record.cut_list[1].sizes[1], value=Fraction(89, 4), origin="said", was=Fraction(45, 2), check=False
    )
    row = replace(record.cut_list[1], sizes=(said,))
    shelf = rows(shop_cutlist_csv(make_view(replace(record, cut_list=(row,)))))[0]
    assert (shelf["length"], shelf["length from"]) == ("22 1/2 in", "listed")


def test_overlays_print_no_doubtful_value() -> None:
    texts = [row["text"] for row in rows(overlays_csv(make_view(cabinet())))]
    assert "Shelf length: 22 1/2 in (check)" in texts
    assert not [t for t in texts if "22 1/4" in t]


def test_overlays_leave_out_what_was_taken_back_or_quoted_from_the_plan() -> None:
    texts = " ".join(row["text"] for row in rows(overlays_csv(make_view(cabinet()))))
    assert "29 1/2" not in texts
    assert texts.count("5/8 in") == 2  # the knob's, and 2 5/8 of the drawer front


def test_a_slip_owned_up_to_is_put_right_on_the_picture() -> None:
    texts = [row["text"] for row in rows(overlays_csv(make_view(published())))]
    assert "Shelf length: 22 1/2 in" in texts
    assert not [t for t in texts if "22 1/4" in t]


def test_sizes_said_in_one_breath_stand_together() -> None:
    texts = [row["text"] for row in rows(overlays_csv(make_view(cabinet())))]
    assert "Drawer front: 2 5/8 in x 6 7/8 in" in texts


def test_what_still_stands_on_the_picture_is_not_put_there_again() -> None:
    record = cabinet()
    knob = record.measures[-1]
    assert knob.start_s is not None
    soon, late = (replace(knob, start_s=knob.start_s + s) for s in (2.0, 6.0))
    again = replace(record, measures=(*record.measures, soon, late))
    seconds = [
        row["seconds"]
        for row in rows(overlays_csv(make_view(again)))
        if row["text"] == "Knob diameter: 5/8 in"
    ]
    assert seconds == [f"{knob.start_s:.2f}", f"{knob.start_s + 6:.2f}"]


def test_a_size_is_shown_as_sure_as_it_was_said() -> None:
    record = cabinet()
    knob = replace(record.measures[-1], hedge="under", tolerance=Fraction(1, 64))
    texts = [row["text"] for row in rows(overlays_csv(make_view(replace(record, measures=(knob,)))))]
    assert texts == ["Knob diameter: just under 5/8 in ± 1/64 in"]


def test_a_doubt_against_another_value_does_not_touch_this_one() -> None:
    record = cabinet()
    measure = next(m for m in record.measures if m.part == "Shelf")
    other = replace(measure, value=Fraction(45, 2), span=(0, 1))
    assert doubt_of(make_view(record), other) is None


@pytest.mark.parametrize("name", HOSTILE)
def test_overlay_cues_have_no_faults(name: str) -> None:
    assert vtt_faults((overlays_vtt(make_view(hostile(name))) or b"").decode()) == []


def test_every_table_tells_that_it_is_a_draft() -> None:
    view = make_view(cabinet())
    for data in (corrections_csv(view), cutlist_csv(view), shop_cutlist_csv(view), overlays_csv(view)):
        assert {row["draft"] for row in rows(data)} == {"draft: times are of the takes"}
    assert {row["draft"] for row in rows(corrections_csv(make_view(published())))} == {""}


def test_without_times_there_are_no_overlays() -> None:
    view = make_view(without_times(cabinet()))
    assert overlays_csv(view) is None
    assert overlays_vtt(view) is None


def test_an_episode_without_anything_gives_tables_with_only_a_head() -> None:
    assert rows(corrections_csv(make_view(bare()))) == []
    assert rows(cutlist_csv(make_view(bare()))) == []


def test_an_overlay_names_the_part_only_where_it_is_sure() -> None:
    record = published()
    sized = next(m for m in record.measures if m.part and m.role == "finished" and m.chain is None)

    def shown(confidence: float) -> list[str]:
        only = replace(sized, confidence=confidence)
        return [row["text"] for row in rows(overlays_csv(make_view(replace(record, measures=(only,)))))]

    (sure,), (unsure,) = shown(0.9), shown(0.3)
    assert sure.endswith(f": {unsure}")
    assert sure.startswith(str(sized.part))
