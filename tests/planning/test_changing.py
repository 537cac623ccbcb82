"""Changes of a floor by hand: move, swap two, undo; each refused with the rule that it would break."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.errors import NotFound, Refused
from mentor_training.journal.queries import entries, find_break
from mentor_training.planning.actions.changing import move, swap, undo
from mentor_training.planning.actions.placing import remove
from mentor_training.planning.queries.changes import last_change
from mentor_training.planning.queries.plan import standing_in
from tests.builders import World
from tests.planning.saturday import COORDINATES, accept_best, put
from tests.sign_in import Visitor, forms_of

Sign = Callable[[str], Visitor]
Place = tuple[int, str, str, str, str | None]


def placed(world: World) -> set[Place]:
    with world.reading() as db:
        rows = [one.placed for one in standing_in(db, "s-11")]
    return {(one.block, one.station, one.mentor, one.role, one.participant) for one in rows}


def later(world: World) -> None:
    """Let a minute pass: what is done at one moment is one change."""
    world.clock.forward(minutes=1)


def moves_to(world: World, placement: int, station: str, participant: str | None = None, role: str = "") -> None:
    with world.writing() as db:
        move(db, world.clock.now(), COORDINATES, "s-11", placement, station, participant, role)


def undone(world: World) -> None:
    later(world)
    with world.writing() as db:
        last = last_change(db, "s-11")
        assert last
        undo(db, world.clock.now(), COORDINATES, "s-11", last.number)


def test_a_mentor_is_moved_within_the_block_and_the_journal_holds_both(floor: World) -> None:
    """To another participant, to lead, and to a duty."""
    row = put(floor, 1, "target-games", "v-001", "p-02")
    later(floor)
    moves_to(floor, row.id, "balance-lane", "p-01")
    assert placed(floor) == {(1, "balance-lane", "v-001", "mentor", "p-01")}
    with floor.reading() as db:
        assert [entry.kind for entry in entries(db, subject="v-001", most=2)] == ["placed", "removed"]
        (one,) = standing_in(db, "s-11")
    moves_to(floor, one.id, "balance-lane")
    with floor.reading() as db:
        (one,) = standing_in(db, "s-11")
    moves_to(floor, one.id, "arrival-desk", role="duty")
    assert placed(floor) == {(1, "arrival-desk", "v-001", "duty", None)}
    with floor.reading() as db:
        assert find_break(db) is None


@pytest.mark.parametrize(
    ("station", "participant", "reason"),
    [
        ("balance-lane", "p-01", "Person v-003 is not cleared for Balance lane with Name01."),
        ("balance-lane", None, "Person v-003 may not lead Balance lane yet."),
        ("balance-lane", "p-02", "no lead is on at Balance lane"),
        ("pool", "p-02", "is not open in session s-11"),
        ("target-games", "p-99", "is not expected at session s-11"),
        ("target-games", "p-02", "is there already"),
    ],
)
def test_a_move_that_breaks_a_rule_is_refused_with_the_rule_and_nothing_changes(
    floor: World, station: str, participant: str | None, reason: str
) -> None:
    """Who was where stays there."""
    row = put(floor, 1, "target-games", "v-003", "p-02")
    with pytest.raises(Refused) as no:
        moves_to(floor, row.id, station, participant)
    assert reason in " ".join(no.value.reasons)
    assert placed(floor) == {(1, "target-games", "v-003", "mentor", "p-02")}


def test_a_lead_on_whom_somebody_depends_is_not_moved_away(floor: World) -> None:
    """The supervised mentor would be without one."""
    lead = put(floor, 1, "balance-lane", "v-001")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    with pytest.raises(Refused, match="Person v-003 works supervised there, and no lead is on"):
        moves_to(floor, lead.id, "target-games", "p-01")


def test_two_are_swapped_at_once_where_one_after_the_other_would_be_refused(floor: World) -> None:
    """Both stand where the other stood; undone, both are back."""
    first = put(floor, 1, "balance-lane", "v-001", "p-01")
    second = put(floor, 1, "target-games", "v-002", "p-02")
    before = placed(floor)
    later(floor)
    with floor.writing() as db:
        swap(db, floor.clock.now(), COORDINATES, "s-11", first.id, second.id)
    assert placed(floor) == {
        (1, "balance-lane", "v-002", "mentor", "p-01"), (1, "target-games", "v-001", "mentor", "p-02"),
    }  # fmt: skip
    undone(floor)
    assert placed(floor) == before


def test_a_swap_that_puts_somebody_where_they_are_not_cleared_is_refused(floor: World) -> None:
    """And so is one over two blocks, or of a placement that is gone."""
    first = put(floor, 1, "balance-lane", "v-002", "p-01")
    second = put(floor, 1, "target-games", "v-003", "p-02")
    third = put(floor, 2, "target-games", "v-006", "p-02")
    for other, error, reason in (
        (second.id, Refused, "Person v-003 is not cleared for Balance lane with Name01"),
        (third.id, Refused, "in the same block"),
        (first.id, Refused, "in the same block"),
        (999, NotFound, "removed meanwhile"),
    ):
        with pytest.raises(error, match=reason), floor.writing() as db:
            swap(db, floor.clock.now(), COORDINATES, "s-11", first.id, other)
    assert len(placed(floor)) == 3


def test_undoing_undoes_one_whole_act_and_undone_again_it_stands(floor: World) -> None:
    """A plan accepted whole goes whole, and nothing that was there before with it."""
    put(floor, 1, "target-games", "v-006", "p-02")
    before = placed(floor)
    later(floor)
    accept_best(floor)
    after = placed(floor)
    assert len(after) > len(before)
    undone(floor)
    assert placed(floor) == before
    undone(floor)
    assert placed(floor) == after


def test_a_removal_is_undone_by_the_gate_of_now(floor: World) -> None:
    """Somebody who was placed elsewhere meanwhile is not brought back: the last change is another one then."""
    row = put(floor, 1, "target-games", "v-006", "p-02")
    later(floor)
    with floor.writing() as db:
        remove(db, floor.clock.now(), COORDINATES, "s-11", row.id)
    with floor.reading() as db:
        last = last_change(db, "s-11")
    assert last is not None
    assert [one.mentor for one in last.removed] == ["v-006"]
    later(floor)
    put(floor, 1, "arrival-desk", "v-006", role="duty")
    with pytest.raises(Refused, match="The floor was changed while your page was open"), floor.writing() as db:
        undo(db, floor.clock.now(), COORDINATES, "s-11", last.number)


def test_a_lead_is_not_undone_away_from_under_a_supervised_mentor(floor: World) -> None:
    """Their placing was the last act but one; as the last it is refused while somebody depends on them."""
    put(floor, 1, "balance-lane", "v-001")
    later(floor)
    row = put(floor, 1, "balance-lane", "v-003", "p-02")
    later(floor)
    with floor.writing() as db:
        remove(db, floor.clock.now(), COORDINATES, "s-11", row.id)
    undone(floor)
    assert (1, "balance-lane", "v-003", "mentor", "p-02") in placed(floor)
    with floor.reading() as db:
        assert last_change(db, "s-99") is None


def test_the_page_offers_where_one_is_cleared_and_with_whom_to_swap(floor: World, visitor: Sign) -> None:
    """A choice that breaks a rule comes back with the rule, and what was chosen is kept."""
    lead = put(floor, 1, "balance-lane", "v-001")
    row = put(floor, 1, "balance-lane", "v-003", "p-02")
    coordinator = visitor("c-01")
    page = f"/sessions/s-11/blocks/1/change/{row.id}"
    shown = coordinator.get(page).text
    assert "Person v-003 is with Name02 at Balance lane." in shown
    assert f'value="with|{lead.id}"' in shown
    assert 'value="to|target-games|mentor|p-02"' in shown
    assert "to|balance-lane|mentor|p-01" not in shown
    refused = coordinator.send(page, page, to=f"with|{lead.id}")
    assert refused.status_code == 422
    assert "Person v-003 may not lead Balance lane yet." in refused.text
    assert coordinator.send(page, page, to="").status_code == 422
    assert coordinator.send(page, page, to="over|there").status_code == 400
    assert coordinator.send(page, page, to="to|target-games|mentor|p-02").status_code == 303
    assert (1, "target-games", "v-003", "mentor", "p-02") in placed(floor)
    assert coordinator.get("/sessions/s-11/blocks/1/change/999").status_code == 404


def test_a_page_that_somebody_else_has_overtaken_changes_nothing(floor: World, visitor: Sign) -> None:
    """Whatever the rules would allow."""
    row = put(floor, 1, "target-games", "v-001", "p-01")
    coordinator, page = visitor("c-01"), f"/sessions/s-11/blocks/1/change/{row.id}"
    stale = coordinator.get(page).text
    put(floor, 1, "target-games", "v-002", "p-02")
    answer = coordinator.fill(stale, page, to="to|balance-lane|mentor|p-01")
    assert answer.status_code == 422
    assert "This block was changed while your page was open" in answer.text
    assert (1, "target-games", "v-001", "mentor", "p-01") in placed(floor)


def test_a_stale_button_takes_out_nobody_who_was_placed_since(floor: World, visitor: Sign) -> None:
    """A number that is free again may be given to another placement; the button names whom it was for."""
    row = put(floor, 1, "target-games", "v-001", "p-01")
    coordinator, block = visitor("c-01"), "/sessions/s-11/blocks/1"
    stale = coordinator.get(block).text
    with floor.writing() as db:
        remove(db, floor.clock.now(), COORDINATES, "s-11", row.id)
    assert put(floor, 1, "target-games", "v-002", "p-02").id == row.id
    answer = coordinator.fill(stale, f"{block}/remove/{row.id}")
    assert answer.status_code == 422
    assert "Somebody else has that place by now" in answer.text
    assert placed(floor) == {(1, "target-games", "v-002", "mentor", "p-02")}


def test_the_last_change_is_shown_with_who_made_it_before_it_is_undone(floor: World, visitor: Sign) -> None:
    """A page that is older than the last change undoes nothing and shows the newer one."""
    coordinator, page = visitor("c-01"), "/sessions/s-11/undo"
    assert "there is nothing to undo" in coordinator.get(page).text
    put(floor, 1, "target-games", "v-006", "p-02")
    stale = coordinator.get(page).text
    assert "1 placed, 0 taken out" in stale
    assert "with Name02 at Target games" in stale
    later(floor)
    put(floor, 1, "arrival-desk", "v-005", role="duty")
    answer = coordinator.fill(stale, page)
    assert answer.status_code == 422
    assert "on duty, Arrival desk" in answer.text
    assert coordinator.fill(answer.text, page).status_code == 303
    assert placed(floor) == {(1, "target-games", "v-006", "mentor", "p-02")}
    assert visitor("o-01").get(page).status_code == 403
    assert [form for form in forms_of(coordinator.get(page).text) if form[0] == page]
