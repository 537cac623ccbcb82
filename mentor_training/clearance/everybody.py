"""What is known of all volunteers at once, as tracks: on which days who holds what; pure.

What many records say alike is read once, by the same rules that read a single dossier. Whoever has corrections or
pauses among their records, or was read anew since, stands apart with a dossier of their own.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from fractions import Fraction
from functools import cached_property
from math import ceil

from mentor_training.clearance.dossier import Dossier, counted_days
from mentor_training.clearance.sheaves import Places, Sheaves, Sums
from mentor_training.clearance.spans import History, Pause, practice_spans, spans_of
from mentor_training.clearance.tracks import Held, Track, track_of, without_collecting
from mentor_training.evidence.corrections import Effect, earliest, months_later
from mentor_training.evidence.facts import COMPLETED, MET, ON_FILE, PRACTICED, READ_CARD, SIGNED_OFF, WAIVED, Fact
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import Atom, Hours, Item, Sessions

Spans = Iterable[tuple[int, int | None]]
Key = tuple[str, str | int, object]

GIVING = (COMPLETED, SIGNED_OFF, ON_FILE, READ_CARD, WAIVED)
ALWAYS = date.min.toordinal()
UNCORRECTED = Effect(frozenset(), {})
ANY_MOMENT = datetime.min.replace(tzinfo=UTC)
NOTHING: Sums = ((), ())


class Everybody:
    """Everybody's tracks under the known editions, made when they are asked for, and then kept."""

    def __init__(self, sheaves: Sheaves, dossiers: Mapping[str, Dossier], editions: Sequence[PublishedProgram]) -> None:
        """Gather; whoever stands apart in the sheaves must have a dossier."""
        self.sheaves = sheaves
        self.editions = tuple(editions)
        self.places = Places(sheaves.places)
        self.apart = {self.places[person]: dossier for person, dossier in dossiers.items()}
        self._tracks: dict[Key, tuple[Track, Callable[[Dossier], Spans]]] = {}

    @property
    def size(self) -> int:
        """Return how many places there are."""
        return len(self.places)

    @property
    def read_anew(self) -> set[int]:
        """Return the places of those who stand apart only because they were read anew."""
        return self.apart.keys() - self.sheaves.apart

    def with_dossiers(self, dossiers: Mapping[str, Dossier]) -> Everybody:
        """Return the same with some volunteers read anew, or added; the tracks of all others stay as they are."""
        if not dossiers:
            return self
        changed = Everybody(self.sheaves, {}, self.editions)
        changed.places = Places(self.places)
        new = {changed.places[person]: dossier for person, dossier in dossiers.items()}
        changed.apart = {**self.apart, **new}
        for key, (track, spans_for) in tuple(self._tracks.items()):
            patched = track
            for place, dossier in new.items():
                patched = patched.with_person(place, spans_for(dossier))
            changed._tracks[key] = (patched, spans_for)
        return changed

    def with_people(self, people: Iterable[str]) -> Everybody:
        """Return the same with a place for each of these people, whether or not anything is known of them."""
        unknown = {code: Dossier(code, (), self.editions) for code in people if code not in self.places}
        return self.with_dossiers(unknown)

    def under(self, editions: Sequence[PublishedProgram]) -> Everybody:
        """Return the same records read under other editions."""
        codes = {place: code for code, place in self.places.items()}
        dossiers = {codes[place]: Dossier(one.person, one.facts, editions) for place, one in self.apart.items()}
        return Everybody(self.sheaves, dossiers, editions)

    def track(self, atom: Atom, edition: PublishedProgram) -> Track:
        """Return who holds an atom on which days, under an edition."""
        if isinstance(atom, Item):
            name = atom.name
            return self._track(
                ("item", name, _terms(name, edition.program)),
                lambda: self._given(name, edition),
                lambda dossier: _spans_of_item(dossier, name, edition),
            )
        least = _least(atom)
        what = atom.category if isinstance(atom, Hours) else ""
        return self._track(
            ("count", what, least),
            lambda: self._reached(what, least),
            lambda dossier: _reaching(*_sums_of(dossier, what), least),
        )

    @cached_property
    def pauses(self) -> tuple[tuple[Pause, Track], ...]:
        """Return a pause of each scope that there is, and who is paused for it on which days."""
        scopes = {pause.scope: pause for one in self.apart.values() for pause in _history(one).pauses}
        return tuple((pause, self._paused(scope)) for scope, pause in sorted(scopes.items()))

    def minutes(self, place: int, category: str, day: date) -> int:
        """Return the approved minutes of a category of the volunteer at a place, up to and including a day."""
        if place in self.apart:
            return _history(self.apart[place]).minutes(category, day)
        return _sum_on(self.sheaves.sums(category).get(place, NOTHING), day)

    def sessions(self, place: int, day: date) -> int:
        """Return how many sessions the volunteer at a place attended before a day."""
        if place in self.apart:
            return _history(self.apart[place]).sessions(day)
        return _sum_on(self.sheaves.sums().get(place, NOTHING), day)

    def _track(self, key: Key, all_held: Callable[[], Iterable[Held]], spans_for: Callable[[Dossier], Spans]) -> Track:
        found = self._tracks.get(key)
        if found is None:
            with without_collecting():
                held = list(all_held())
                for place, dossier in self.apart.items():
                    held += [(first, last, (place,)) for first, last in spans_for(dossier)]
                found = self._tracks[key] = (track_of(held, self.size), spans_for)
        return found[0]

    def _given(self, item: str, edition: PublishedProgram) -> Iterator[Held]:
        skill = edition.program.skills.get(item.removeprefix("skill/"))
        for kind in GIVING:
            if kind == SIGNED_OFF and skill and skill.practice_within_days is not None:
                yield from self._practiced(item, skill.practice_within_days, skill.good_for_months)
                continue
            for (_, name, first, last, _), whose in self.sheaves.about(kind, item, self.apart):
                fact = Fact("", "", kind, name, first, last, ANY_MOMENT)
                for span in spans_of(fact, (), edition.program, self.editions, UNCORRECTED):
                    yield span.first.toordinal(), _ordinal(span.last), whose

    def _practiced(self, item: str, within_days: int, months: int | None) -> Iterator[Held]:
        practiced, met = self.sheaves.days_of(PRACTICED, item), self.sheaves.days_of(MET, item)
        for (_, _, first, last, _), whose in self.sheaves.about(SIGNED_OFF, item, self.apart):
            own_last = earliest(last, months_later(first, months))
            for place in whose:
                runs = practice_spans(first, own_last, within_days, practiced.get(place, ()), met.get(place, ()))
                yield from ((one.toordinal(), end.toordinal(), (place,)) for one, end in runs if one <= end)

    def _reached(self, what: str, least: int) -> Iterator[Held]:
        sums = self.sheaves.sums(what)
        for place in range(self.size) if least <= 0 else sums:
            if place not in self.apart:
                for first, last in _reaching(*sums.get(place, NOTHING), least):
                    yield first, last, (place,)

    def _paused(self, scope: str) -> Track:
        return self._track(("pause", scope, ""), lambda: (), lambda dossier: _spans_of_scope(dossier, scope))


def _terms(item: str, program: Program) -> object:
    """Return what an edition says about how long an item is held: where two say the same, the track is the same."""
    kind, _, slug = item.partition("/")
    if kind == "skill" and (skill := program.skills.get(slug)):
        return (skill.good_for_months, skill.practice_within_days)
    if kind == "paper" and (paper := program.papers.get(slug)):
        return (paper.good_for_months, paper.waivable)
    module = program.modules.get(slug) if kind == "module" else None
    return module.good_for_months if module else None


def _least(atom: Hours | Sessions) -> int:
    """Return the whole minutes, or the sessions, that are enough."""
    return ceil(Fraction(str(atom.at_least)) * 60) if isinstance(atom, Hours) else atom.at_least


def _ordinal(day: date | None) -> int | None:
    return day.toordinal() if day else None


def _history(dossier: Dossier) -> History:
    """Return a history for what is the same under every edition: hours, sessions, pauses."""
    return dossier.history(dossier.editions[0])


def _spans_of_item(dossier: Dossier, item: str, edition: PublishedProgram) -> Spans:
    for span in dossier.history(edition).spans.get(item, ()):
        yield span.first.toordinal(), _ordinal(span.last)


def _spans_of_scope(dossier: Dossier, scope: str) -> Spans:
    for pause in _history(dossier).pauses:
        if pause.scope == scope and (pause.last is None or pause.first <= pause.last):
            yield pause.first.toordinal(), _ordinal(pause.last)


def _sums_of(dossier: Dossier, what: str) -> Sums:
    """Return how the minutes of a category add up for one volunteer, or with no category the sessions attended."""
    history = _history(dossier)
    days = sorted(set(counted_days(history)))
    sums = [history.minutes(what, day) if what else history.sessions(day) for day in days]
    return [day.toordinal() for day in days], sums


def _reaching(days: Sequence[int], sums: Sequence[int], least: int) -> Spans:
    """Yield from which day through which a sum reaches so much; before the first of the days it is 0."""
    since = ALWAYS if least <= 0 else None
    for day, so_far in zip(days, sums, strict=True):
        if since is None and so_far >= least:
            since = day
        elif since is not None and so_far < least:
            yield since, day - 1
            since = None
    if since is not None:
        yield since, None


def _sum_on(sums: Sums, day: date) -> int:
    passed = bisect_right(sums[0], day.toordinal())
    return sums[1][passed - 1] if passed else 0
