"""Decisions: written down, read, applied; kept through another model's words, moved times, an edited list and new takes."""

from __future__ import annotations

import random
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from pathlib import Path

import pytest
from msgspec import structs

from benchscribe.decisions import apply_decisions, load_decisions, record_decision
from benchscribe.errors import BuildError
from benchscribe.findings.wording import finding_id
from benchscribe.records import Dimension, Finding, FindingKind, Said

SENTENCES = [
    "and i am ripping it {} wide on the table saw before lunch",
    "the sheet has it wrong and it wants to be {} from end to end",
    "i have gone up to {} because my own bench is taller",
    "there is a blank on the list and mine came to {} with the rule",
    "half of that is {} so put a mark there and drill it",
    "these are the little ones and they are {} off the same stop",
    "turn it down to {} and leave the shoulder crisp",
    "so the flap is {} and you fold it over the bone",
]
PARTS = ["Carriage floor", "End cap", "Rail", "Gusset", "Lid", "Foot", "Lower stem", "Shelf"]
DIMENSIONS: list[Dimension] = ["width", "length", "thickness", "diameter", "radius"]
KINDS: list[FindingKind] = ["slip", "plan-wrong", "changed", "supplied", "derived"]


def finding(
    number: int, *, words: str = "9 3/8", value: Fraction | None = None, unit: str = "inch"
) -> Finding:
    """Make one finding, like no other by its number."""
    said = value if value is not None else Fraction(75 + number, 8)
    part, start_s = PARTS[number % len(PARTS)], 30.0 + 41.0 * number
    return Finding(
        id=finding_id(words, said, unit, start_s, part),
        kind=KINDS[number % len(KINDS)],
        part=part,
        dimension=DIMENSIONS[number % len(DIMENSIONS)],
        spoken=Said(said, unit, words),
        sentence=SENTENCES[number % len(SENTENCES)].format(words),
        start_s=start_s,
        file="one.wav",
        at_s=start_s,
    )


def test_a_file_that_is_not_there_holds_no_decision(tmp_path: Path) -> None:
    assert load_decisions(tmp_path / "decisions.toml").decision == ()


@pytest.mark.parametrize(
    ("answer", "status"), [("accept", "accepted"), ("dismiss", "dismissed"), ("amend", "amended")]
)
def test_an_answer_written_down_is_given_to_the_same_finding_again(
    tmp_path: Path, answer: str, status: str
) -> None:
    path = tmp_path / "decisions.toml"
    record_decision(path, finding(1), answer, note="sorry about that")
    settled, orphaned = apply_decisions((finding(0), finding(1)), load_decisions(path))
    assert [f.status for f in settled] == ["open", status]
    assert settled[1].note == "sorry about that"
    assert orphaned == ()


def test_an_amended_finding_says_what_the_maker_gave(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    record_decision(
        path, finding(1), "amend", value=Fraction(71, 8), unit="inch", part="Lid", dimension="length"
    )
    (settled,), _ = apply_decisions((finding(1),), load_decisions(path))
    assert settled.spoken == Said(Fraction(71, 8), "inch", "9 3/8")
    assert (settled.part, settled.dimension) == ("Lid", "length")


def test_a_second_answer_takes_the_place_of_the_first_and_comments_stay(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    record_decision(path, finding(1), "accept")
    path.write_text(path.read_text().replace("[[decision]]", "# asked the sawmill\n[[decision]]"))
    record_decision(path, finding(2), "accept")
    record_decision(path, finding(1), "dismiss")
    decisions = load_decisions(path).decision
    assert [d.answer for d in decisions] == ["dismiss", "accept"]
    assert "# asked the sawmill" in path.read_text()


def test_a_decision_that_fits_nothing_is_reported_and_stays_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    record_decision(path, finding(1), "accept")
    before = path.read_bytes()
    settled, orphaned = apply_decisions((finding(2),), load_decisions(path))
    assert settled[0].status == "open"
    assert len(orphaned) == 1
    assert "End cap" in orphaned[0]
    assert path.read_bytes() == before


def test_another_value_for_the_same_size_is_another_finding(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    record_decision(path, finding(1), "accept")
    other = structs.replace(finding(1), spoken=Said(Fraction(10), "inch", "10"))
    settled, orphaned = apply_decisions((other,), load_decisions(path))
    assert settled[0].status == "open"
    assert orphaned


def test_the_same_value_in_one_sentence_for_two_parts_is_not_mixed_up(tmp_path: Path) -> None:
    sentence = "the lid is 12 across and the much smaller foot down at the other end is 12 as well"
    lid = structs.replace(finding(4), spoken=Said(Fraction(12), "inch", "12"), sentence=sentence, id="a")
    foot = structs.replace(lid, part="Foot", dimension="diameter", start_s=199.0, at_s=199.0, id="b")
    path = tmp_path / "decisions.toml"
    record_decision(path, lid, "dismiss")
    settled, orphaned = apply_decisions((foot,), load_decisions(path))
    assert settled[0].status == "open"
    assert orphaned


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[decision]]\nanswer = "maybe"\n', "maybe"),
        ('[[decision]]\nanswer = "accept"\ncolour = "red"\n', "colour"),
        ("[[decision]\n", "cannot be read"),
        ('[[decision]]\nanswer = "accept"\nvalue = "3 3/4"\n', "3 3/4"),
        ('[[decision]]\nanswer = "accept"\nvalue = "1/0"\n', "1/0"),
        ('[[decision]]\nanswer = "accept"\nunit = "parsec"\n', "parsec"),
        ('[[decision]]\nanswer = "amend"\nnew_dimension = "girth"\n', "girth"),
    ],
)
def test_a_file_that_is_wrong_gives_one_clear_sentence(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "decisions.toml"
    path.write_text(text)
    with pytest.raises(BuildError, match=r"decisions\.toml") as caught:
        load_decisions(path)
    assert said in str(caught.value)


def test_an_unknown_answer_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    with pytest.raises(BuildError, match="no answer"):
        record_decision(path, finding(1), "perhaps")
    assert not path.exists()


def test_a_failed_write_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "decisions.toml"
    record_decision(path, finding(1), "accept")
    before = path.read_bytes()

    def full(_self: Path, _target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(BuildError, match="No space left"):
        record_decision(path, finding(2), "accept")
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def other_model(original: Finding, rng: random.Random) -> Finding:
    """Hear the same sentence as another model would: fillers gone or added, a word misheard, the size written otherwise."""
    words = original.sentence.split()
    for _ in range(rng.randint(1, 2)):
        where = rng.randrange(len(words))
        if words[where].isalpha():
            words[where] = rng.choice(["uh", "the", words[where] + "s"])
    spelled = rng.choice(["nine and three eighths", "9-3/8", "9 3/8"])
    sentence = " ".join(words).replace("9 3/8", spelled)
    said = original.spoken
    assert said
    shift = rng.uniform(-0.8, 0.8)
    start_s = (original.start_s or 0) + shift
    return structs.replace(
        original,
        id=finding_id(spelled, said.value, said.unit, start_s, original.part),
        spoken=Said(said.value, said.unit, spelled),
        sentence=sentence,
        start_s=start_s,
        at_s=start_s,
    )


def edited_list(original: Finding, rng: random.Random) -> Finding:
    """Rename the part, or give the size another column."""
    if rng.random() < 0.5:
        return structs.replace(original, part=f"{original.part} (front)", id="x" + original.id)
    dimension = rng.choice([d for d in DIMENSIONS if d != original.dimension])
    return structs.replace(original, dimension=dimension, id="x" + original.id)


def moved_times(original: Finding, rng: random.Random) -> Finding:
    """Cut a minute or two out before it, so that the time in the file is another one."""
    shift = rng.uniform(-25, 180)
    start_s = (original.start_s or 0) + shift
    return structs.replace(original, start_s=start_s, at_s=start_s, id="y" + original.id)


def new_takes(original: Finding, rng: random.Random) -> Finding:
    """Put takes before it: running time moves, time in the file stays."""
    return structs.replace(
        original, start_s=(original.start_s or 0) + rng.uniform(60, 900), id="z" + original.id
    )


CHANGES = {
    "another model": other_model,
    "edited list": edited_list,
    "moved times": moved_times,
    "new takes": new_takes,
}


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("seed", range(50))
def test_no_decision_is_lost_or_given_to_another_finding(tmp_path: Path, change: str, seed: int) -> None:
    """Two hundred changes: every decision comes back to its own finding, and none to a finding that was never settled."""
    rng = random.Random(f"{change} {seed}")  # noqa: S311 - repeatable test data, no secret
    findings = [finding(number) for number in range(12)]
    path = tmp_path / "decisions.toml"
    answers = {}
    for number in rng.sample(range(12), 6):
        answers[number] = rng.choice(["accept", "dismiss"])
        record_decision(path, findings[number], answers[number], note=str(number))
    again = [CHANGES[change](f, rng) for f in findings]
    order = list(range(12))
    rng.shuffle(order)
    settled, orphaned = apply_decisions(tuple(again[n] for n in order), load_decisions(path))
    got = {n: f.note for n, f in zip(order, settled, strict=True) if f.status != "open"}
    assert got == {number: str(number) for number in answers}
    assert orphaned == ()


def test_an_angle_cannot_stand_in_for_a_length(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    path.write_text(
        '[[decision]]\nanswer = "amend"\nvalue = "3"\nunit = "inch"\nnew_value = "45"\nnew_unit = "degree"\n'
    )
    with pytest.raises(BuildError, match='new_unit = "degree" is not of the same sort'):
        load_decisions(path)


def test_two_programs_that_answer_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    each = 8
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda n: record_decision(path, finding(n), "accept"), range(each)))
    assert len(load_decisions(path).decision) == each
