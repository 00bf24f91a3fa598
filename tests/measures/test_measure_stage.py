"""The stage carries word times through; the line filter, the spaCy component and the written forms do what they say."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

from benchscribe.errors import BenchscribeError
from benchscribe.measures import Style, read, read_size, read_words, write_dual, write_measure
from benchscribe.measures.lines import answer_lines
from benchscribe.measures.spacy_component import readings, register
from benchscribe.measures.stage import find_measures
from benchscribe.records import Cue, Transcript, Utterance, Word


def transcript(*cues: str) -> Transcript:
    """Make a transcript of cues five seconds long, their words a second apart."""
    words: list[Word] = []
    made = []
    for number, cue in enumerate(cues):
        first = len(words)
        words += [
            Word(text, number * 5.0 + i * 0.5, number * 5.0 + i * 0.5 + 0.4)
            for i, text in enumerate(cue.split())
        ]
        made.append(Cue((first, len(words)), number * 5.0, number * 5.0 + 5.0))
    return Transcript(
        files=(),
        clock="captions",
        words=tuple(words),
        utterances=(Utterance((0, len(words)), 0.0, None),),
        cues=tuple(made),
    )


def test_a_measure_cut_across_two_cues_is_one_measure() -> None:
    (measure,), _ = find_measures(transcript("and I'm ripping it 9", "3/8 wide so lock it"), "inch")
    assert (measure.value, measure.unit, measure.words) == (Fraction(75, 8), "inch", "9 3/8")
    assert (measure.start_s, measure.end_s) == (2.0, 5.4)


def test_words_and_span_are_of_the_transcript() -> None:
    made = transcript("the rail is three and a quarter inches long")
    (measure,), _ = find_measures(made, "inch")
    assert made.text(measure.span) == "three and a quarter inches"


def test_trade_numbers_come_with_their_time() -> None:
    measures, (number,) = find_measures(transcript("run a number 7 drill", "through it"), "inch")
    assert measures == ()
    assert (number.kind, number.name, number.start_s) == ("drill", "#7", 1.0)


def test_no_time_is_made_up() -> None:
    notes = Transcript(
        files=(),
        clock="none",
        words=tuple(Word(w) for w in ["cut", "it", "3/4", "thick"]),
        utterances=(Utterance((0, 4), None, None),),
    )
    (measure,), _ = find_measures(notes, "inch")
    assert measure.start_s is None


def test_a_value_taken_back_is_linked_to_what_took_its_place() -> None:
    found = read("set it at 13/16, sorry, 7/8", units="inch").measures
    assert [m.taken_back for m in found] == [True, False]
    assert found[0].replaced_by == 1


def test_chain_and_position_are_given() -> None:
    found = read("3/4 by 2 1/2 by 34 1/4", units="inch").measures
    assert [(m.chain, m.chain_position) for m in found] == [(1, 0), (1, 1), (1, 2)]


def test_the_step_is_the_finest_graduation_said() -> None:
    texts = ("thirteen sixteenths", ".496 thick", "450 mm", "2.4 m", "five degrees")
    steps = [read(t, units="inch").measures[0].step for t in texts]
    assert steps == [Fraction(1, 16), Fraction(1, 1000), 1, Fraction(1, 10), 1]


def test_a_unit_left_out_is_told_from_one_said() -> None:
    found = read("4 inches by 6", units="inch").measures
    assert [m.unit_said for m in found] == [True, False]


def test_why_is_given_where_there_is_another_reading() -> None:
    (measure,) = read("a 716th hole", units="inch").measures
    assert measure.candidates
    assert measure.why


def test_characters_are_of_the_text_as_it_stands() -> None:
    text = "  cut   it at\t3  3/4\n inches "
    (measure,) = read(text, units="inch").measures
    assert text[slice(*measure.chars)] == "3  3/4\n inches"


def test_nothing_is_read_from_nothing() -> None:
    assert read("").measures == ()
    assert read_words([]).measures == ()
    assert read_size("") == ()


@pytest.mark.parametrize(
    ("cell", "units", "sizes"),
    [
        ("3/4 x 2 1/2 x 34 1/4", "inch", ["3/4 inch", "5/2 inch", "137/4 inch"]),
        ("188 dia", "mm", ["188 mm"]),
        ("1.000", "inch", ["1 inch"]),
        ("5° compound", "inch", ["5 degree"]),
        ("7\u2032 8.625″ (92.625″)", "inch", ["741/8 inch", "741/8 inch"]),
        ("22 1/2° bevel", "inch", ["45/2 degree"]),
        ("34-1/4", "inch", ["137/4 inch"]),
        ("2440x1220x18", "mm", ["2440 mm", "1220 mm", "18 mm"]),
        ("1 220", "mm", ["1220 mm"]),
        ("12,5", "mm", ["25/2 mm"]),
        ("Ø25", "mm", ["25 mm"]),
        ("R12", "mm", ["12 mm"]),
        ("1/4-20 x 2", "inch", ["2 inch"]),
        ("M6 x 20", "mm", ["20 mm"]),
        ("to suit", "inch", []),
        ("-", "inch", []),
        ("45° miter", "inch", ["45 degree"]),
        ("3/8 dia", "inch", ["3/8 inch"]),
        ("24", "inch", ["24 inch"]),
        ("18 mm", "inch", ["18 mm"]),
    ],
)
def test_a_bare_number_in_a_cell_is_a_size(cell: str, units: str, sizes: list[str]) -> None:
    found = read_size(cell, units="mm" if units == "mm" else "inch")
    assert [f"{m.value} {m.unit}" for m in found] == sizes


def test_each_line_is_answered_in_order() -> None:
    asked = [
        json.dumps({"text": "six foot three and a half", "units": "inch"}),
        json.dumps({"text": "nothing here"}),
    ]
    assert [json.loads(a) for a in answer_lines(asked)] == [
        {"measures": [["151/2", "inch"]]},
        {"measures": []},
    ]


@pytest.mark.parametrize("line", ["{", "[]", '{"text": 3}', '{"text": "x", "units": "cubit"}'])
def test_a_line_that_is_no_question_is_named(line: str) -> None:
    with pytest.raises(BenchscribeError, match="line 2"):
        list(answer_lines(['{"text": "an inch"}', line]))


def test_spacy_gets_a_span_for_every_measure() -> None:
    import spacy

    nlp = spacy.blank("en")
    nlp.add_pipe(register(), config={"units": "inch"})
    doc = nlp("Rip it to 2 5/16 and chop it at 34 1/4.")
    assert [(s.text, s.label_, s.id_) for s in doc.spans["measures"]] == [
        ("2 5/16", "inch", "37/16"),
        ("34 1/4", "inch", "137/4"),
    ]
    assert [m.value for m in readings(doc)] == [Fraction(37, 16), Fraction(137, 4)]


@pytest.mark.parametrize(
    ("value", "unit", "style", "written"),
    [
        ("15/4", "inch", "in", "3 3/4 in"),
        ("15/4", "inch", "marks", "3¾″"),
        ("77/16", "inch", "marks", "4¹³\u2044₁₆″"),
        ("149/2", "inch", "ft-in", "6 ft 2 1/2 in"),
        ("149/2", "inch", "ft-in-marks", "6\u2032 2½″"),
        ("72", "inch", "ft-in", "6 ft"),
        ("3/2", "foot", "in", "18 in"),
        ("1/2", "inch", "in", "1/2 in"),
        ("0.472", "inch", "in", "0.472 in"),
        ("13/2", "inch", "decimal", "6.500 in"),
        ("95.25", "mm", "in", "95.25 mm"),
        ("18", "mm", "marks", "18 mm"),
        ("12/5", "m", "in", "2.4 m"),
        ("27.6", "cm", "in", "27.6 cm"),
        ("45/2", "degree", "in", "22.5°"),
        ("5", "thou", "marks", "5 thou"),
        ("0", "inch", "ft-in", "0 in"),
    ],
)
def test_a_measure_is_written_as_the_trade_does(value: str, unit: str, style: Style, written: str) -> None:
    assert write_measure(Fraction(value), unit, style) == written


@pytest.mark.parametrize(
    ("value", "unit", "written"),
    [
        ("15/4", "inch", "3 3/4 in (95 mm)"),
        ("13/32", "inch", "13/32 in (10.3 mm)"),
        ("0.472", "inch", "0.472 in (11.99 mm)"),
        ("18", "mm", "18 mm (23/32 in)"),
        ("17.7", "mm", "17.7 mm (0.697 in)"),
        ("45", "degree", "45°"),
        ("6", "foot", "72 in (1829 mm)"),
    ],
)
def test_the_second_unit_is_rounded_once_to_sensible_digits(value: str, unit: str, written: str) -> None:
    assert write_dual(Fraction(value), unit) == written


def test_an_unknown_unit_cannot_be_written() -> None:
    with pytest.raises(ValueError, match="cubit"):
        write_measure(Fraction(1), "cubit")
