"""Readiness as somebody would work it out on paper: go through the days one by one and cross out what a stop ends."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from mentor_training.observing.rules.readiness import Seen
from mentor_training.program.catalog import SignOffRule


def is_ready(rule: SignOffRule, history: Iterable[Seen], on: date) -> bool:
    """Say whether a history makes a skill ready on a day."""
    sheet = [one for one in on_the_sheet(history, on) if one.day >= on - timedelta(days=rule.fresh_days)]
    met = [one for one in sheet if one.result == "met"]
    return (
        len(met) >= rule.observations
        and len({one.day for one in met}) >= rule.days
        and len({one.observer for one in met}) >= rule.observers
        and len({one.participant for one in met} - {""}) >= rule.participants
        and len([one for one in met if one.live]) >= rule.live_at_least
        and len(sheet) >= rule.met_in_a_row
        and all(one.result == "met" for one in sheet[len(sheet) - rule.met_in_a_row :])
    )


def on_the_sheet(history: Iterable[Seen], on: date) -> list[Seen]:
    """Return what stands on the sheet at the end of a day: a stop clears it; what cannot count is not written."""
    sheet: list[Seen] = []
    left = sorted(history, key=lambda one: one.number)
    day = min((one.day for one in left), default=on)
    while day <= on:
        for one in left:
            if one.day != day or one.struck:
                continue
            if one.stopped:
                sheet = []
            elif one.result != "not-countable":
                sheet.append(one)
        day += timedelta(days=1)
    return sheet
