"""Read program.toml: name, entry requirement, never list, the policy's numbers, and sign-off defaults by risk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from mentor_training.program.catalog import DEFERRAL, RISKS, SIGN_OFF_DEFAULTS, Policy, SignOffRule
from mentor_training.program.reading.book import Book
from mentor_training.program.reading.entry import DAYS, Entry
from mentor_training.program.reading.requirement import read_requirement
from mentor_training.program.requirements import ALWAYS, Requirement

FILE = "program/program.toml"
ROUNDINGS = ("statement", "clock", "none")
ROUND_MINUTES = (5, 6, 15)
# One observer alone may be mistaken the same way each time; what can injure is seen by two. A rule of this program.
FEWEST_OBSERVERS = 2
STRICTEST = RISKS[-1]
_CANNOT_EXCEED = ("days", "observers", "participants", "live_at_least", "met_in_a_row")


@dataclass(frozen=True)
class Basics:
    """What program.toml says; `top` is None where the file is missing or cannot be read."""

    name: str
    entry: Requirement
    never: tuple[str, ...]
    deferral: str
    policy: Policy
    sign_off: Mapping[str, SignOffRule]
    top: Entry | None


def read_basics(book: Book) -> Basics:
    """Read program.toml; only the name has to be there."""
    document = book.documents.get(FILE)
    if document is None:
        return Basics("", ALWAYS, (), DEFERRAL, Policy(), SIGN_OFF_DEFAULTS, None)
    top = Entry(document, book.report, "the program")
    name = top.text("name")
    entry = read_requirement(top, "entry", book.names) or ALWAYS
    never, deferral = top.texts("never"), top.text("deferral", DEFERRAL) or DEFERRAL
    policy = _policy(top)
    rules = _sign_off(top, policy)
    top.close()
    return Basics(name, entry, never, deferral, policy, rules, top)


def _policy(top: Entry) -> Policy:
    usual = Policy()
    return Policy(
        pass_mark=top.number("pass_mark", usual.pass_mark, most=1),
        cool_down_hours=top.number("cool_down_hours", usual.cool_down_hours, most=24 * 365),
        failures_before_talk=top.whole("failures_before_talk", usual.failures_before_talk, least=1),
        late_after_days=top.whole("late_after_days", usual.late_after_days, most=DAYS),
        reminders=top.whole("reminders", usual.reminders),
        done_share=top.number("done_share", usual.done_share, most=1),
        fresh_days=top.whole("fresh_days", usual.fresh_days, least=1, most=DAYS),
        agreement_share=top.number("agreement_share", usual.agreement_share, most=1),
        supervised_per_lead=top.whole("supervised_per_lead", usual.supervised_per_lead),
        rounding=top.one_of("rounding", ROUNDINGS, usual.rounding),
        round_minutes=_round_minutes(top, usual.round_minutes),
        scan_kept_days=top.whole("scan_kept_days", usual.scan_kept_days, most=DAYS),
        scan_waits_days=top.whole("scan_waits_days", usual.scan_waits_days, least=1, most=DAYS),
    )


def _round_minutes(top: Entry, usual: int) -> int:
    minutes = top.whole("round_minutes", usual, least=1)
    if minutes not in ROUND_MINUTES:
        top.fault(f"`round_minutes` is {minutes}", "it must be 5, 6 or 15", "round_minutes")
    return minutes


def _sign_off(top: Entry, policy: Policy) -> dict[str, SignOffRule]:
    rules = {
        risk: SignOffRule(
            **{one.name: getattr(rule, one.name) for one in fields(rule) if one.name != "fresh_days"},
            fresh_days=policy.fresh_days,
        )
        for risk, rule in SIGN_OFF_DEFAULTS.items()
    }
    by_risk = top.table("sign_off", "the sign-off defaults")
    if by_risk is None:
        return rules
    for risk in RISKS:
        own = by_risk.table(risk, "a sign-off rule")
        rules[risk] = rules[risk] if own is None else read_sign_off(own, rules[risk], risk)
    by_risk.close()
    return rules


def read_sign_off(own: Entry, usual: SignOffRule, risk: str) -> SignOffRule:
    """Read a sign-off rule for skills of a risk; what it leaves out is as usual.

    Asking for more days, observers, participants or a longer run than there are observations is a fault where both
    are written side by side, and advice where one of them is a default.
    """
    rule = SignOffRule(
        observations=own.whole("observations", usual.observations, least=1),
        days=own.whole("days", usual.days, least=0),
        observers=own.whole("observers", usual.observers, least=0),
        participants=own.whole("participants", usual.participants),
        live_at_least=own.whole("live_at_least", usual.live_at_least),
        met_in_a_row=own.whole("met_in_a_row", usual.met_in_a_row),
        fresh_days=own.whole("fresh_days", usual.fresh_days, least=1, most=DAYS),
    )
    for key in _CANNOT_EXCEED:
        asked = getattr(rule, key)
        if asked > rule.observations:
            _exceeding(own, key, asked, rule.observations)
    if risk == STRICTEST and own.has("observers") and rule.observers < FEWEST_OBSERVERS:
        what = f"a skill of {risk} risk would be signed off on what one observer alone has seen"
        own.advise(what, f"set `observers` to {FEWEST_OBSERVERS} or more", "observers")
    if rule.days - 1 > rule.fresh_days:
        what = f"no observation may be older than {rule.fresh_days} days, and they have to be on {rule.days} days"
        own.advise(what, "raise `fresh_days`, or ask for fewer days", "fresh_days" if own.has("fresh_days") else "days")
    own.close()
    return rule


def _exceeding(own: Entry, key: str, asked: int, observations: int) -> None:
    both = own.has(key) and own.has("observations")
    report = own.fault if both else own.advise
    at = key if own.has(key) else "observations"
    what = f"`{key}` asks for {asked} where `observations` is {observations}"
    report(what, f"set `observations` to {asked} or more, or `{key}` to {observations} or fewer", at)
