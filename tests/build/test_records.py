"""The records: exact values through JSON, and every time with the file that it is of."""

from __future__ import annotations

from fractions import Fraction

import jsonschema
import msgspec
import pytest

from benchscribe.records import (
    EpisodeInfo,
    EpisodeRecord,
    Measure,
    SourceFile,
    Transcript,
    Utterance,
    Word,
    from_json,
    json_schema,
    stamp,
    to_json,
)

TAKES = (
    SourceFile(name="take-1.opus", offset_s=0.0, duration_s=100.0, kind="audio"),
    SourceFile(name="take-2.mp4", offset_s=100.0, duration_s=50.0, kind="video"),
)


def record() -> EpisodeRecord:
    transcript = Transcript(
        files=TAKES,
        clock="takes",
        words=(Word("hello", 1.0, 1.5, 0.9),),
        utterances=(Utterance((0, 1), 1.0, 1.5),),
    )
    measure = Measure(
        start_s=110.5, value=Fraction(15, 4), unit="inch", words="three and three quarters", span=(0, 1)
    )
    return EpisodeRecord(
        info=EpisodeInfo(title="x"),
        draft=True,
        transcript=transcript,
        part_list=None,
        measures=(stamp(measure, TAKES),),
    )


def test_a_record_survives_json_unchanged() -> None:
    assert from_json(to_json(record())) == record()


def test_values_stand_in_json_as_exact_strings() -> None:
    data = msgspec.json.decode(to_json(record()))
    assert data["measures"][0]["value"] == "15/4"
    assert data["measures"][0]["start"] == 110.5


def test_every_time_says_which_file_it_is_of() -> None:
    measure = record().measures[0]
    assert (measure.file, measure.at_s) == ("take-2.mp4", 10.5)


def test_no_time_stays_no_time() -> None:
    silent = Measure(value=Fraction(1), unit="inch", words="an inch", span=(0, 2))
    assert stamp(silent, TAKES) == silent


def test_the_shipped_shape_holds_for_a_record() -> None:
    jsonschema.validate(msgspec.json.decode(to_json(record())), json_schema())


@pytest.mark.parametrize("value", ["1/0", "3 3/4", "0.5 inch"])
def test_a_value_that_is_not_exact_is_refused(value: str) -> None:
    spoiled = to_json(record()).replace(b'"15/4"', f'"{value}"'.encode())
    with pytest.raises(ValueError, match="no Benchscribe record"):
        from_json(spoiled)


def test_a_record_of_another_version_is_refused() -> None:
    with pytest.raises(ValueError, match="version 99"):
        from_json(to_json(record()).replace(b'"schema_version": 1', b'"schema_version": 99'))
