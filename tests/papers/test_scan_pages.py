"""Pictures of papers through HTTP: sent, refused beside the field, looked at behind the door, deleted when decided."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO

import pytest
from PIL import Image
from werkzeug.datastructures import FileStorage
from werkzeug.test import TestResponse, encode_multipart

from mentor_training.journal.queries import entries
from mentor_training.papers.scans.kinds import LARGEST_FILE
from tests.builders import World
from tests.overview.test_my_path import words_of
from tests.papers.desk import check, folder, lay_out, put
from tests.papers.scans.samples import SCRIPT, bomb, document, picture
from tests.sign_in import Visitor, forms_of

Visit = Callable[[str], Visitor]
CARD = {"paper": "cpr-card", "issued": "2025-02-28"}
CHECKED = {"issued": "2025-02-28", "last_day": "", "hands_on": "yes"}


@pytest.fixture
def desk(world: World) -> World:
    """Give the desk with the days as they usually are."""
    return lay_out(world)


def file(data: bytes, name: str = "card.jpg", kind: str = "image/jpeg") -> FileStorage:
    return FileStorage(BytesIO(data), filename=name, content_type=kind)


def send_large(who: Visitor, data: bytes) -> TestResponse:
    """Fill the form in and send it as one body in memory: the test client would lay a large one into a file."""
    address, values = next(one for one in forms_of(who.get("/papers").text) if one[0] == "/papers")
    sent = {name: those[0] for name, those in values.items()} | CARD
    boundary, body = encode_multipart({**sent, "scan": file(data)})
    return who.client.post(address, data=body, content_type=f"multipart/form-data; boundary={boundary}")


def looks(world: World) -> list[tuple[str, str]]:
    with world.reading() as db:
        return [(one.who, one.subject) for one in entries(db, kind="looked")]


def test_a_picture_from_the_phone_to_the_verification_and_its_end(desk: World, visitor: Visit) -> None:
    """Sent with the form, seen by the coordinator, each look journaled, deleted with the verification."""
    volunteer, coordinator = visitor("v-001"), visitor("c-01")
    assert volunteer.send("/papers", "/papers", **CARD, scan=file(picture())).status_code == 303
    assert 'href="/papers/own/scans/1"' in volunteer.get("/papers").text
    assert "with a picture" in words_of(coordinator.get("/papers/waiting").text)
    page = coordinator.get("/papers/1/verify").text
    assert 'src="/papers/scans/1"' in page
    assert looks(desk) == []
    seen = coordinator.get("/papers/scans/1")
    assert Image.open(BytesIO(seen.data)).size == (640, 400)
    assert looks(desk) == [("c-01", "v-001")]
    assert volunteer.get("/papers/own/scans/1").status_code == 200
    assert len(looks(desk)) == 1
    done = coordinator.fill(page, "/papers/1/verify", **CHECKED)
    assert (done.status_code, done.location) == (303, "/papers/waiting")
    assert folder(desk).names() == frozenset()
    assert coordinator.get("/papers/scans/1").status_code == 404
    assert volunteer.get("/papers/own/scans/1").status_code == 404
    assert "The picture was deleted Fri 16 Oct 2026" in words_of(volunteer.get("/papers").text)


def test_it_is_given_as_what_it_is_and_may_do_nothing(desk: World, visitor: Visit) -> None:
    """No cache keeps it, no browser guesses at it, nothing in it runs; the name is ours."""
    put_by_form = visitor("v-001")
    put_by_form.send("/papers", "/papers", **CARD, scan=file(picture(), "../../<b>Odalys</b>.html", "text/html"))
    put_by_form.send(
        "/papers", "/papers", paper="first-aid-card", issued="2025-02-28", scan=file(document(), "card.exe")
    )
    coordinator = visitor("c-01")
    for number, kind, name in ((1, "image/jpeg", "paper-scan-1.jpg"), (2, "application/pdf", "paper-scan-2.pdf")):
        headers = coordinator.get(f"/papers/scans/{number}").headers
        assert headers["Content-Type"] == kind
        assert headers["Content-Disposition"] == f"inline; filename={name}"
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Cache-Control"] == "no-store"
        assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
        assert headers["Content-Security-Policy"].startswith("default-src 'none'; frame-ancestors 'none'")
    names = folder(desk).names()
    assert all(re.fullmatch("[0-9a-f]{32}", name) for name in names)
    assert sorted(one.name for one in folder(desk).path.iterdir()) == sorted(names)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (SCRIPT, "neither a picture nor a PDF"),
        (picture()[:-300], "only a part of it arrived"),
        (bomb(), "million pixels"),
        (b"\xff\xd8\xff" + b"\0" * LARGEST_FILE, "8 MB are the most"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 40, "Set the camera to save JPEG"),
    ],
)
def test_what_is_refused_is_said_beside_the_field_and_what_was_typed_is_kept(
    desk: World, visitor: Visit, data: bytes, says: str
) -> None:
    """Nothing is on file then, and no file is left."""
    answer = send_large(visitor("v-001"), data)
    assert answer.status_code == 422
    assert re.search(rf'id="scan-wrong">[^\n]*{says}', answer.text)
    assert 'value="2025-02-28"' in answer.text
    assert '<option selected value="cpr-card">' in answer.text
    assert folder(desk).names() == frozenset()
    assert "0 papers wait" in visitor("c-01").get("/papers/waiting").text


def test_a_good_picture_beside_a_wrong_date_has_to_be_chosen_again(desk: World, visitor: Visit) -> None:
    """A browser does not fill a file in again; that is said where it matters."""
    answer = visitor("v-001").send("/papers", "/papers", **{**CARD, "issued": "2027-01-01"}, scan=file(picture()))
    assert answer.status_code == 422
    assert "Choose the file again" in answer.text
    assert folder(desk).names() == frozenset()


def test_of_a_background_check_no_picture_is_taken_in(desk: World, visitor: Visit) -> None:
    """Only the outcome and its dates; the paper itself can still be put on file."""
    volunteer = visitor("v-001")
    assert "No picture is taken in of: Background check." in volunteer.get("/papers").text
    wanted = {"paper": "background-check", "issued": "2025-02-28"}
    answer = volunteer.send("/papers", "/papers", **wanted, scan=file(picture()))
    assert answer.status_code == 422
    assert re.search(r'id="scan-wrong">[^\n]*only its outcome and its dates are kept', answer.text)
    assert folder(desk).names() == frozenset()
    assert volunteer.send("/papers", "/papers", **wanted).status_code == 303


def test_two_cards_on_one_picture_are_sent_once(desk: World, visitor: Visit) -> None:
    """Each has its own dates; the picture stays until both are decided on."""
    volunteer, coordinator = visitor("v-001"), visitor("c-01")
    assert "sent before" not in volunteer.get("/papers").text
    volunteer.send("/papers", "/papers", **CARD, scan=file(picture()))
    assert "The one of: CPR card" in volunteer.get("/papers").text
    other = {"paper": "first-aid-card", "issued": "2025-05-05", "last_day": "2027-05-05"}
    assert volunteer.send("/papers", "/papers", **other, same_as="1").status_code == 303
    assert 'src="/papers/scans/1"' in coordinator.get("/papers/2/verify").text
    coordinator.send("/papers/1/verify", "/papers/1/verify", **CHECKED)
    assert coordinator.get("/papers/scans/1").status_code == 200
    coordinator.send("/papers/2/verify", "/papers/2/verify", issued="2025-05-05", last_day="2027-05-05")
    assert coordinator.get("/papers/scans/1").status_code == 404


def test_a_picture_can_be_sent_later_or_anew(desk: World, visitor: Visit) -> None:
    """For a paper that waits; the one sent before goes at once."""
    volunteer = visitor("v-001")
    volunteer.send("/papers", "/papers", **CARD)
    page = "/papers/1/scan"
    assert "Choose a picture or PDF" in volunteer.send(page, page).text
    assert volunteer.send(page, page, scan=file(SCRIPT)).status_code == 422
    for _ in range(2):
        assert volunteer.send(page, page, scan=file(picture())).status_code == 303
        assert len(folder(desk).names()) == 1
    assert visitor("v-002").get(page).status_code == 403


def test_a_picture_deleted_unseen_is_told_to_its_volunteer(desk: World, visitor: Visit) -> None:
    """On their path and among their papers, with the way to send it again."""
    put(desk)
    desk.clock.forward(hours=31 * 24)
    visitor("c-02").send("/papers", "/papers", **CARD)
    for address in ("/path", "/papers"):
        page = visitor("v-001").get(address).text
        assert "because nobody had decided on the paper by then: send it again" in words_of(page)
        assert 'href="/papers/1/scan"' in page


def test_nobody_else_sees_a_picture(desk: World, visitor: Visit) -> None:
    """Not another volunteer, not an observer, not whoever is not signed in; a look refused is no look."""
    put(desk)
    for code in ("v-002", "o-01"):
        assert visitor(code).get("/papers/scans/1").status_code == 403
        assert visitor(code).get("/papers/own/scans/1").status_code == 403
    stranger = Visitor(visitor("v-001").client.application.test_client())  # type: ignore[attr-defined]
    for address in ("/papers/scans/1", "/papers/own/scans/1"):
        assert stranger.get(address).status_code == 302
    assert looks(desk) == []
    assert visitor("c-01").get("/papers/scans/9").status_code == 404


def test_without_the_hands_on_part_a_card_is_declined_and_not_verified(desk: World, visitor: Visit) -> None:
    """The question has to be answered; the reason for no is ready, and the volunteer reads it."""
    put(desk, scan=False)
    coordinator = visitor("c-01")
    for answer, says in (("", "Answer it"), ("no", "cannot be verified; decline it"), ("perhaps", "Answer it")):
        refused = coordinator.send("/papers/1/verify", "/papers/1/verify", **{**CHECKED, "hands_on": answer})
        assert refused.status_code == 422
        assert says in refused.text
    decline = "/papers/1/decline?because=hands-on"
    assert f'href="{decline}"' in coordinator.get("/papers/1/verify").text
    assert coordinator.send(decline, "/papers/1/decline").status_code == 303
    assert "Declined: It does not show the hands-on skills part." in visitor("v-001").get("/papers").text


def test_the_dates_that_the_coordinator_sees_count_and_which_of_two_ends_it_is_said(
    desk: World, visitor: Visit
) -> None:
    """Typed 2025-02-28 with no end; printed are other days, and the program's months cut the last of them."""
    put(desk, scan=False)
    coordinator, volunteer = visitor("c-01"), visitor("v-001")
    page = words_of(coordinator.get("/papers/1/verify").text)
    assert "Good through Sun 28 Feb 2027: the program counts this paper for 24 months from its issue" in page
    early = {**CHECKED, "issued": "2025-03-01", "last_day": "2026-12-31"}
    wrong = coordinator.send("/papers/1/verify", "/papers/1/verify", **{**early, "issued": "2026-12-01"})
    assert (wrong.status_code, "still ahead" in wrong.text) == (422, True)
    coordinator.send("/papers/1/verify", "/papers/1/verify", **early)
    assert "good through Thu 31 Dec 2026." in words_of(coordinator.get("/papers/waiting").text)
    page = words_of(volunteer.get("/papers").text)
    assert "Issued Sat 1 Mar 2025, printed through Thu 31 Dec 2026" in page
    assert "In force through Thu 31 Dec 2026" in page


def test_a_printed_day_that_the_programs_months_cut_is_said_so(desk: World, visitor: Visit) -> None:
    """As clearance counts it; and of a paper with neither, that it has no end."""
    put(desk, scan=False)
    put(desk, "first-aid-card", scan=False)
    coordinator = visitor("c-01")
    assert "it would be in force without an end" in coordinator.get("/papers/2/verify").text
    coordinator.send("/papers/1/verify", "/papers/1/verify", **{**CHECKED, "last_day": "2027-03-31"})
    assert "24 months after its issue, which comes before the printed day" in coordinator.get("/papers/waiting").text


def test_put_on_file_and_verified_by_one_button_still_asks_what_has_to_be_asked(desk: World, visitor: Visit) -> None:
    """The hands-on part, or the look at a picture; other papers are done with at once."""
    coordinator, page = visitor("c-01"), "/papers/of/v-001"
    asked = coordinator.send(page, page, **CARD, then="verify")
    assert (asked.status_code, asked.location) == (303, "/papers/1/verify")
    at_once = coordinator.send(page, page, paper="first-aid-card", issued="2025-02-28", then="verify")
    assert at_once.location == page


def test_nobody_verifies_their_own_and_a_decided_one_has_no_page(desk: World, visitor: Visit) -> None:
    """The page says so before anything is typed."""
    put(desk, person="c-02", scan=False)
    assert visitor("c-02").get("/papers/1/verify").status_code == 403
    check(desk, 1)
    late = visitor("c-01").get("/papers/1/verify")
    assert late.status_code == 422
    assert "verified already" in late.text


def test_something_far_too_large_is_answered_with_what_to_do(desk: World, visitor: Visit) -> None:
    """Above what is read at all, before anything of it is."""
    answer = send_large(visitor("v-001"), b"\xff\xd8\xff" + b"\0" * (25 << 20))
    assert answer.status_code == 413
    assert "Choose a smaller file" in answer.text
