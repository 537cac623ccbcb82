"""A chain that was edited, thinned out or put in another order does not hold, whatever was done to it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.journal.chain import FIRST, Entry, canonical, digest, entry_hash, first_break, prove

START = datetime(2026, 9, 1, 12, 0, tzinfo=UTC)
TEXTS = ("who", "kind", "subject", "record", "previous", "hash")

texts = st.text(st.characters(codec="utf-8"), max_size=12)
Said = tuple[str, str, str, dict[str, Any], int]
values: st.SearchStrategy[Any] = st.one_of(texts, st.integers(-(2**53) + 1, 2**53 - 1), st.booleans(), st.none())
records = st.dictionaries(texts, values)
said = st.tuples(texts, texts, texts, records, st.integers(0, 10**9))


def chain_of(contents: list[Said]) -> list[Entry]:
    """Make a chain that holds."""
    previous, chain = FIRST, []
    for number, (who, kind, subject, record, microseconds) in enumerate(contents, 1):
        moment, body = START + timedelta(microseconds=microseconds), canonical(record)
        own = entry_hash(number, moment, who, kind, subject, body, previous)
        chain.append(Entry(number, moment, who, kind, subject, body, previous, own))
        previous = own
    return chain


chains = st.lists(said, min_size=2, max_size=8).map(chain_of)


@given(st.lists(said, max_size=8).map(chain_of))
def test_a_chain_as_it_was_written_holds(chain: list[Entry]) -> None:
    """Whatever the entries say, and also when there is none."""
    proof = prove(chain)
    assert proof.broken is None
    assert (proof.entries, proof.head) == (len(chain), chain[-1].hash if chain else FIRST)


@given(chains, st.data())
def test_any_edit_of_any_entry_is_noticed_at_that_entry(chain: list[Entry], data: st.DataObject) -> None:
    """Number, moment, each text, and each hash: nothing can be changed."""
    place = data.draw(st.integers(0, len(chain) - 1))
    entry, name = chain[place], data.draw(st.sampled_from((*TEXTS, "number", "moment")))
    if name == "number":
        edited = replace(entry, number=entry.number + data.draw(st.integers(1, 9)))
    elif name == "moment":
        edited = replace(entry, moment=entry.moment + timedelta(microseconds=data.draw(st.integers(1, 10**9))))
    else:
        old = getattr(entry, name)
        changed: dict[str, Any] = {name: data.draw(texts.filter(lambda text: text != old))}
        edited = replace(entry, **changed)
    broken = first_break([*chain[:place], edited, *chain[place + 1 :]])
    assert broken is not None
    assert broken.number == place + 1


@given(chains, st.data())
def test_an_entry_edited_and_hashed_anew_is_noticed_at_the_next(chain: list[Entry], data: st.DataObject) -> None:
    """Whoever rewrites one entry would have to rewrite all that follow."""
    place = data.draw(st.integers(0, len(chain) - 2))
    old = chain[place]
    who = data.draw(texts.filter(lambda text: text != old.who))
    own = entry_hash(old.number, old.moment, who, old.kind, old.subject, old.record, old.previous)
    broken = first_break([*chain[:place], replace(old, who=who, hash=own), *chain[place + 1 :]])
    assert broken is not None
    assert broken.number == place + 2


@given(chains, st.data())
def test_any_removal_before_the_end_is_noticed(chain: list[Entry], data: st.DataObject) -> None:
    """A gap is named by the number that is missing."""
    place = data.draw(st.integers(0, len(chain) - 2))
    broken = first_break([*chain[:place], *chain[place + 1 :]])
    assert broken is not None
    assert broken.number == place + 1


@given(chains, st.data())
def test_a_removal_is_noticed_even_when_the_rest_is_numbered_anew(chain: list[Entry], data: st.DataObject) -> None:
    """Closing the gap in the numbers does not close the gap in the hashes."""
    place = data.draw(st.integers(0, len(chain) - 2))
    rest = [replace(entry, number=entry.number - 1) for entry in chain[place + 1 :]]
    assert first_break([*chain[:place], *rest]) is not None


@given(chains, st.data())
def test_any_swap_is_noticed(chain: list[Entry], data: st.DataObject) -> None:
    """Two entries that change places, with or without their numbers."""
    first, second = sorted(data.draw(st.permutations(range(len(chain))))[:2])
    swapped = list(chain)
    swapped[first], swapped[second] = chain[second], chain[first]
    assert first_break(swapped) is not None
    assert first_break([replace(entry, number=at) for at, entry in enumerate(swapped, 1)]) is not None


@given(chains, st.integers(1, 8))
def test_a_cut_off_end_shows_only_against_a_head_kept_elsewhere(chain: list[Entry], gone: int) -> None:
    """What is left is a chain that holds; the head on a statement made before is in it no more."""
    left = chain[:-gone]
    assert first_break(left) is None
    assert prove(chain, chain[-1].hash).has_noted
    assert not prove(left, chain[-1].hash).has_noted


def test_the_digest_is_sha_256() -> None:
    """FIPS 180-4, the one-block example of SHA-256, "abc" (from memory; OpenSSL through hashlib gives the same)."""
    assert digest("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_the_hash_of_an_entry_stays_what_it_was() -> None:
    """Written out by hand as canonical JSON: a journal written today can be proved by a later version, or by hand."""
    by_hand = (
        '{"kind":"note","moment":"2026-09-01T12:00:00.000000+00:00","number":1,"previous":"' + FIRST + '",'
        '"record":"{\\"item\\":\\"module/safety\\"}","subject":"v-001","who":"c-01"}'
    )
    found = entry_hash(1, START, "c-01", "note", "v-001", canonical({"item": "module/safety"}), FIRST)
    assert found == digest(by_hand)


def test_a_moment_hashes_the_same_in_any_zone() -> None:
    """The instant counts, not how it was written."""
    elsewhere = START.astimezone(tz=None)
    assert entry_hash(1, START, "a", "b", "c", "{}", FIRST) == entry_hash(1, elsewhere, "a", "b", "c", "{}", FIRST)
