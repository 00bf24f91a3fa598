"""Every kind of answer: kept, shown at once, and right in what goes out."""

from __future__ import annotations

import pytest
from desk_client import Client

from benchscribe.decisions import load_decisions
from benchscribe.desk.answers import choices
from benchscribe.writers.review import numbered


def test_the_first_look_says_how_much_there_is_to_do(client: Client) -> None:
    page = client.get("/")
    assert page.status_code == 200
    waiting = sum(f.status == "open" for f in numbered(client.desk.now().record))
    assert waiting >= 2
    assert f"{waiting} things to settle, about {2 * waiting} minutes" in page.text


def test_as_listed_owns_up_to_a_slip(client: Client) -> None:
    slip = client.finding("slip")
    assert client.do("settle", finding=slip.id, choice="listed").status_code == 200
    assert client.finding("slip").status == "accepted"
    notes = client.out("description.txt")
    assert "I say 16 1/4 in; it should be 16 1/2 in." in notes


def test_right_as_said_makes_a_slip_a_fault_of_the_plan(client: Client) -> None:
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="said")
    assert "make it 16 1/4 in." in client.out("description.txt")
    assert "16 1/4" in client.out("cutlist.csv")


def test_my_own_change_is_no_fault_of_the_plan(client: Client) -> None:
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="own-change")
    assert "I made mine 16 1/4 in; the plan has 16 1/2 in. My choice, the plan is not wrong." in client.out(
        "description.txt"
    )


def test_not_a_finding_publishes_nothing(client: Client) -> None:
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="dismiss")
    assert client.finding("slip").status == "dismissed"
    assert "16 1/4" not in client.out("description.txt")


def test_as_listed_against_a_declared_fault_prints_the_listed_size(client: Client) -> None:
    wrong = client.finding("plan-wrong")
    client.do("settle", finding=wrong.id, choice="listed")
    notes = client.out("description.txt")
    assert "make it 16 in" in notes
    assert "make it 15 1/2 in" not in notes


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("16 3/8", "16 3/8 in"),
        ("sixteen and three eighths", "16 3/8 in"),
        ("41.6 cm", "41.6 cm"),
        ('16-3/8"', "16 3/8 in"),
    ],
)
def test_another_size_is_taken_in_any_form_and_goes_out(client: Client, typed: str, written: str) -> None:
    slip = client.finding("slip")
    read = client.get(f"/read?text={typed}&finding={slip.id}").json()
    assert read["ok"]
    assert written in read["text"]
    client.do("settle", finding=slip.id, choice="other", value=typed)
    assert client.finding("slip").status == "amended"
    assert f"make it {written}." in client.out("description.txt")


@pytest.mark.parametrize("typed", ["", "sixteen or so seventeen", "22 degrees", "-3", "nothing"])
def test_what_is_not_one_size_is_refused_and_the_typed_text_is_kept(client: Client, typed: str) -> None:
    slip = client.finding("slip")
    answer = client.do("settle", finding=slip.id, choice="other", value=typed, back_finding=slip.id)
    assert answer.status_code == 422
    assert 'id="problem"' in answer.text
    assert f'value="{typed}"' in answer.text
    assert client.finding("slip").status == "open"
    assert not client.desk.path.exists()


def test_another_part_and_dimension_move_the_correction(client: Client) -> None:
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="other", part="Handle", dimension="width")
    after = client.finding("slip")
    assert (after.part, after.dimension) == ("Handle", "width")
    assert "Handle, width" in client.out("description.txt")


def test_a_part_that_is_not_listed_is_refused(client: Client) -> None:
    slip = client.finding("slip")
    answer = client.do("settle", finding=slip.id, choice="other", part="Handel")
    assert answer.status_code == 422
    assert "Did you mean" in answer.text


@pytest.mark.parametrize(("typed", "written"), [("5", "5"), ("five", "5"), ("twenty four", "24")])
def test_another_number_of_pieces(client: Client, typed: str, written: str) -> None:
    count = client.finding("count")
    client.do("settle", finding=count.id, choice="other", value=typed)
    assert f"I make {written}" in client.out("description.txt")


@pytest.mark.parametrize("typed", ["0", "-4", "2 1/2", "5 in", "four or five", "some"])
def test_what_is_no_number_of_pieces_is_refused(client: Client, typed: str) -> None:
    count = client.finding("count")
    answer = client.do("settle", finding=count.id, choice="other", value=typed)
    assert answer.status_code == 422
    assert "is not a number of pieces" in answer.text
    assert client.finding("count").status == "open"


def test_a_note_goes_out_with_the_answer_and_can_be_written_afterwards(client: Client) -> None:
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="listed", note="Sorry about that.")
    assert "Sorry about that." in client.out("description.txt")
    client.do("note", finding=slip.id, note="My tongue slipped.")
    notes = client.out("description.txt")
    assert "My tongue slipped." in notes
    assert "Sorry" not in notes
    assert "it should be 16 1/2 in" in notes


def test_a_note_on_what_was_declared_keeps_it_published(client: Client) -> None:
    wrong = client.finding("plan-wrong")
    client.do("note", finding=wrong.id, note="Measure the opening first.")
    notes = client.out("description.txt")
    assert "Measure the opening first." in notes
    assert "make it 15 1/2 in" in notes


def test_an_answer_can_be_given_anew_and_taken_back(client: Client) -> None:
    slip = client.finding("slip")
    for choice, status in (
        ("other", "amended"),
        ("dismiss", "dismissed"),
        ("said", "accepted"),
        ("listed", "accepted"),
    ):
        client.do("settle", finding=slip.id, choice=choice, value="16 3/8")
        assert client.finding("slip").status == status
        assert len(load_decisions(client.desk.path).decision) == 1
        assert client.settled().record.orphaned_decisions == ()
    client.do("reopen", finding=slip.id)
    assert client.finding("slip").status == "open"
    assert load_decisions(client.desk.path).decision == ()


def test_the_answer_that_was_given_is_marked_on_its_ticket(client: Client) -> None:
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="own-change")
    page = client.get(f"/?finding={slip.id}").text
    assert 'id="choose-own-change" class="choice chosen"' in page
    assert page.count("choice chosen") == 1


def test_after_an_answer_the_next_open_finding_is_on_top(client: Client) -> None:
    slip = client.finding("slip")
    answer = client.do("settle", finding=slip.id, choice="listed")
    shown = client.finding("count")
    assert f'data-finding="{shown.id}" aria-labelledby="ticket-head"' in answer.text


def test_every_answer_says_what_the_viewers_read(client: Client) -> None:
    for kind in ("slip", "plan-wrong", "supplied", "count"):
        finding = client.finding(kind)
        said = client.desk.now().said(finding.id)
        assert said is not None
        for choice in choices(said):
            client.do("settle", finding=finding.id, choice=choice.id)
            notes = client.out("description.txt")
            assert (choice.goes_out in notes) == (choice.answer != "dismiss"), (
                kind,
                choice.id,
                choice.goes_out,
            )
        client.do("reopen", finding=finding.id)


def test_an_open_finding_is_in_nothing_that_goes_out(client: Client) -> None:
    assert client.finding("slip").status == "open"
    assert "it should be 16 1/2 in" not in client.out("description.txt")
    assert "DRAFT" in client.out("guide.md")


def test_when_all_is_settled_the_page_says_so_and_the_guide_is_no_draft(client: Client) -> None:
    for finding in numbered(client.desk.now().record):
        if finding.status == "open":
            client.do("settle", finding=finding.id, choice="dismiss")
    page = client.get("/").text
    assert "All settled" in page
    assert 'id="copy-description"' in page
    client.settled()
    assert "are still open" not in client.out("guide.md")
    assert "is still open" not in client.out("guide.md")
