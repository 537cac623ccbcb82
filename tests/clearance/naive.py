"""A third, naive way to the same answers: no spans, no ladders joined, only "was it so on this day?", day by day.

Written apart from the rules it checks, from the words of the design alone.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Sequence
from datetime import date, timedelta

from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement

ONE = timedelta(days=1)


def add_months(day: date, months: int) -> date:
    """Add calendar months, clamped to the end of a shorter month."""
    place = day.year * 12 + day.month - 1 + months
    year, month = divmod(place, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


class NaiveModel:
    """Answers for one volunteer from records, one day at a time."""

    def __init__(self, person: str, facts: Sequence[Fact], editions: Sequence[PublishedProgram]) -> None:
        self.person = person
        self.facts = facts
        self.editions = editions

    def edition(self, day: date) -> PublishedProgram | None:
        """Return the edition in force."""
        found = None
        for one in self.editions:
            if one.effective <= day and (
                found is None or (one.effective, one.number) >= (found.effective, found.number)
            ):
                found = one
        return found

    def is_voided(self, code: str) -> bool:
        """Say whether a record was voided by one that was not, or is a correction withdrawn before it did anything."""
        about = [fact for fact in self.facts if fact.refers_to == code and not self.is_voided(fact.code)]
        own = [fact for fact in self.facts if fact.code == code and fact.kind in ("withdrawn", "voided", "lifted")]
        return any(
            fact.kind == "voided" or (fact.kind == "withdrawn" and own and fact.first_day <= own[0].first_day)
            for fact in about
        )

    def stands(self, fact: Fact, day: date) -> bool:
        """Say whether a record had not been cut on a day, by its own last day, a withdrawal or a lifting."""
        if self.is_voided(fact.code):
            return False
        for other in self.facts:
            if (
                other.refers_to == fact.code
                and other.kind in ("withdrawn", "lifted")
                and not self.is_voided(other.code)
            ):
                if day >= other.first_day and not (other.kind == "lifted" and not self.stands(other, day)):
                    return False
        return True

    def holds_item(self, name: str, day: date) -> bool:
        """Say whether an item is held on a day."""
        edition = self.edition(day)
        assert edition is not None
        return any(self.gives(fact, name, day, edition.program) for fact in self.facts)

    def gives(self, fact: Fact, name: str, day: date, program: Program) -> bool:
        """Say whether one record gives an item on a day."""
        if fact.item.split("@")[0] != name and fact.item != name:
            return False
        if fact.first_day > day or not self.stands(fact, day) or (fact.last_day and day > fact.last_day):
            return False
        slug = name.split("/")[1]
        if fact.kind == "on-file":
            months = program.papers[slug].good_for_months if slug in program.papers else None
            return months is None or day <= add_months(fact.first_day, months)
        if fact.kind == "waived":
            return slug in program.papers and program.papers[slug].waivable
        if fact.kind == "read-card":
            return True
        if fact.kind == "completed":
            return self.module_lasts(fact, slug, day, program)
        return fact.kind == "signed-off" and self.skill_lasts(fact, slug, day, program)

    def module_lasts(self, fact: Fact, slug: str, day: date, program: Program) -> bool:
        """Say whether a completion still counts."""
        module = program.modules.get(slug)
        if module and module.good_for_months and day > add_months(fact.first_day, module.good_for_months):
            return False
        done = int(fact.item.split("@")[1]) if "@" in fact.item else self.edition_then(slug, fact.first_day)
        for one in self.editions:
            later = one.program.modules.get(slug)
            if later and later.must_retake and later.edition > done:
                if day > one.effective + timedelta(days=later.grace_days):
                    return False
        return True

    def edition_then(self, slug: str, day: date) -> int:
        """Return the module's edition in force on the day of a completion that does not say which it was."""
        begun = self.edition(day) or self.editions[0]
        return begun.program.modules[slug].edition

    def skill_lasts(self, fact: Fact, slug: str, day: date, program: Program) -> bool:
        """Walk from the sign-off to the day, and see whether practice or an observation kept the skill alive."""
        skill = program.skills.get(slug)
        if skill is None:
            return True
        if skill.good_for_months and day > add_months(fact.first_day, skill.good_for_months):
            return False
        within = skill.practice_within_days
        if within is None:
            return True
        alive_through = fact.first_day + timedelta(days=within)
        walk = fact.first_day
        while walk <= day:
            if walk <= alive_through:
                if self.happened("practiced", fact.item, walk):
                    alive_through = max(alive_through, walk + timedelta(days=within))
            elif self.happened("met", fact.item, walk):
                alive_through = walk + timedelta(days=within)
                if self.happened("practiced", fact.item, walk):
                    alive_through = max(alive_through, walk + timedelta(days=within))
            walk += ONE
        return day <= alive_through

    def happened(self, kind: str, item: str, day: date) -> bool:
        """Say whether something happened on a day and was not taken back for it."""
        return any(
            fact.kind == kind and fact.item == item and fact.first_day == day and self.stands(fact, day)
            for fact in self.facts
        )

    def met(self, requirement: Requirement, day: date) -> bool:
        """Say whether a requirement is met."""
        if isinstance(requirement, AtLeast):
            return sum(self.met(part, day) for part in requirement.of) >= requirement.count
        if isinstance(requirement, Item):
            return self.holds_item(requirement.name, day)
        if isinstance(requirement, Hours):
            minutes = sum(
                int(fact.note)
                for fact in self.facts
                if fact.kind == "hours"
                and fact.item == requirement.category
                and fact.first_day <= day
                and self.stands(fact, day)
            )
            return minutes >= requirement.at_least * 60
        seen = {f.item for f in self.facts if f.kind == "attended" and f.first_day < day and self.stands(f, day)}
        return len(seen) >= requirement.at_least

    def level(self, station: str, participant: ParticipantFile | None, day: date) -> int:
        """Return the level on a day."""
        edition = self.edition(day)
        if edition is None or station not in edition.program.stations:
            return 0
        place = edition.program.stations[station]
        if not self.met(edition.program.entry, day):
            return 0
        for fact in self.facts:
            if fact.kind in ("stood-down", "restricted") and fact.first_day <= day and self.stands(fact, day):
                if fact.last_day and day > fact.last_day:
                    continue
                tags = [f"activity/{tag}" for tag in place.activities]
                if fact.item in ("", station, *tags):
                    return 0
        level = self.ladder_level(place.ladder.rungs, day)
        return self.with_participant(level, edition.program, station, participant, day) if participant else level

    def with_participant(
        self, level: int, program: Program, station: str, participant: ParticipantFile, day: date
    ) -> int:
        """Return the level with a participant."""
        begun = [one for one in participant.profiles if one.first_day is None or one.first_day <= day]
        profile = begun[-1]
        if self.person in profile.keep_apart:
            return 0
        cards = [card for card in participant.cards if card.first_day <= day]
        if cards:
            card = max(cards, key=lambda one: one.version)
            if day > card.review_by or not self.holds_item(f"card/{participant.code}@{card.version}", day):
                return 0
        for slug in profile.needs:
            need = program.needs[slug]
            shared = set(need.activities) & set(program.stations[station].activities)
            if need.activities and not shared:
                continue
            climbed = self.ladder_level(need.ladder.rungs, day)
            if climbed < len(need.ladder.rungs):
                level = min(level, climbed)
        return level

    def ladder_level(self, rungs: Sequence[Requirement], day: date) -> int:
        """Count the rungs met from the bottom."""
        level = 0
        for rung in rungs:
            if not self.met(rung, day):
                return level
            level += 1
        return level

    def holds_through(self, station: str, participant: ParticipantFile | None, day: date, until: date) -> date | None:
        """Walk on, a day at a time, until the level falls; None when it does not before `until`."""
        level = self.level(station, participant, day)
        while day < until:
            if self.level(station, participant, day + ONE) < level:
                return day
            day += ONE
        return None
