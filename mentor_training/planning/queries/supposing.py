"""A plan as it would be if stations were closed; nothing of it is stored."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from mentor_training.planning.closed import REASONS
from mentor_training.planning.queries.plan import Plan


def with_closed(plan: Plan, stations: Collection[str], from_block: int, reason: str) -> Plan:
    """Return a plan with some stations closed from a block on, for a reason, besides those that are."""
    blocks = [block for block in plan.floor.blocks if block >= from_block]
    why = f"{REASONS.get(reason, reason)}, in the change that is shown"
    more = {(block, slug): why for block in blocks for slug in stations}
    return replace(plan, floor=replace(plan.floor, closed={**more, **plan.floor.closed}))
