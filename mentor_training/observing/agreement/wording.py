"""Agreement as its JSON says it, as rows of a table, and in words for people; pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from mentor_training.observing.agreement.bands import band
from mentor_training.observing.agreement.figures import Figure, Figures, How, by_mark
from mentor_training.observing.agreement.key import AgainstKey
from mentor_training.observing.agreement.leniency import Leniency, leniency
from mentor_training.observing.agreement.marks import Mark, Marks

NOT_DEFINED = "not defined"
NAMES: Mapping[str, str] = {
    "percent": "percent, all observers alike",
    "percent_of_pairs": "percent of pairs alike",
    "cohen": "Cohen's kappa",
    "cohen_weighted": "Cohen's kappa, by steps",
    "fleiss": "Fleiss' kappa",
    "alpha_nominal": "Krippendorff's alpha",
    "alpha_ordinal": "Krippendorff's alpha, ordinal",
    "ac1": "Gwet's AC1",
}
PERCENTAGES = ("percent", "percent_of_pairs")
ONLY_OF_TWO = ("cohen", "cohen_weighted")
FIRST = ("percent", "cohen", "fleiss", "alpha_nominal", "alpha_ordinal", "ac1")
COLUMNS = ("coefficient", "value", "low", "high", "landis_koch", "interval")
MARK_COLUMNS = ("mark", "share", "kappa against all others")
KEY_COLUMNS = ("observer", "compared", "percent alike", "critical acts", "missed", "which")
LENIENCY_COLUMNS = ("observer", "criterion", "marks", "done", "done by others", "their marks")
# So many pairs alike, and a kappa no more than fair. Feinstein and Cicchetti, J Clin Epidemiol 1990;43:543-549, name
# the paradox; where it begins is a rule of this program.
HIGH_PERCENT, LOW_KAPPA = 80, 0.4


def as_json(marks: Marks, found: Figures, held: Sequence[AgainstKey] | None) -> dict[str, object]:
    """Return what `--format json` prints; what is not defined is None."""
    figures = _figures(found)
    return {
        **{name: _as_json(figures[name]) for name in (*FIRST, *(one for one in NAMES if one not in FIRST))},
        "intervals": {name: figure.how.value for name, figure in figures.items() if figure and figure.low is not None},
        "seed": found.seed, "samples": found.samples, "observers": list(marks.observers),
        "performances": found.performances, "units": found.paired, "marks": [_number(mark) for mark in marks.scale],
        "against_key": None if held is None else [_key_as_json(one) for one in held],
    }  # fmt: skip


def _figures(found: Figures) -> dict[str, Figure | None]:
    return {name: getattr(found, name) for name in NAMES}


def _as_json(figure: Figure | None) -> dict[str, float | None] | None:
    return None if figure is None else {"value": figure.value, "low": figure.low, "high": figure.high}


def _key_as_json(one: AgainstKey) -> dict[str, object]:
    missed = [{"performance": unit.performance, "criterion": unit.criterion} for unit in one.missed]
    percent = None if one.percent is None else float(one.percent)
    return {
        "observer": one.observer,
        "units": one.units,
        "percent": percent,
        "critical": one.critical,
        "missed": missed,
    }


def _number(mark: Mark) -> str | float:
    if isinstance(mark, Fraction):
        return int(mark) if mark.denominator == 1 else float(mark)
    return str(mark)


# ---- rows ----


def rows(marks: Marks, found: Figures, empty: str) -> list[tuple[str, ...]]:
    """Return a row a coefficient, `empty` standing for what is not defined."""
    shown = [name for name in NAMES if len(marks.observers) == 2 or name not in ONLY_OF_TWO]
    return [_row(name, _figures(found)[name], empty) for name in shown]


def _row(name: str, figure: Figure | None, empty: str) -> tuple[str, ...]:
    if figure is None:
        return NAMES[name], empty, "", "", "", ""
    places = 1 if name in PERCENTAGES else 3
    ends = ["" if end is None else f"{end:.{places}f}" for end in (figure.low, figure.high)]
    word = "" if name in PERCENTAGES else str(band(figure.value))
    return (
        NAMES[name],
        f"{figure.value:.{places}f}",
        *ends,
        word,
        figure.how.value if figure.low is not None else "none",
    )


def _mark_rows(marks: Marks, found: Figures) -> list[tuple[str, ...]]:
    """Return for each mark its share of all marks, and how far observers agree on it."""
    each = zip(marks.scale, found.shares, by_mark(marks), strict=True)
    return [
        (str(_number(mark)), f"{share:.0%}", NOT_DEFINED if kappa is None else f"{kappa:.3f}")
        for mark, share, kappa in each
    ]


def _key_rows(held: Sequence[AgainstKey]) -> list[tuple[str, ...]]:
    """Return a row an observer: how near to the key, and what critical was missed."""
    return [
        (
            one.observer, str(one.units), NOT_DEFINED if one.percent is None else f"{float(one.percent):.1f}",
            str(one.critical), str(len(one.missed)),
            "; ".join(f"{unit.performance}, criterion {unit.criterion}" for unit in one.missed),
        )
        for one in held
    ]  # fmt: skip


def leniency_rows(found: Sequence[Leniency]) -> list[tuple[str, ...]]:
    """Return a row an observer and criterion: the share marked as done, and what others marked in the same units."""
    return [
        (
            one.observer, one.criterion or "all", str(one.marks), f"{float(one.share):.0%}",
            "" if one.others_share is None else f"{float(one.others_share):.0%}", str(one.others_marks),
        )
        for one in found
    ]  # fmt: skip


# ---- words ----

Table = tuple[Sequence[str], Sequence[Sequence[object]]]


def parts(marks: Marks, found: Figures, held: Sequence[AgainstKey] | None) -> Iterator[str | Table]:
    """Yield what is shown to people: sentences, and tables each after its heading."""
    yield _head(marks, found)
    yield COLUMNS, rows(marks, found, NOT_DEFINED)
    yield from remarks(marks, found)
    if found.paired:
        yield "\nOn which marks they agree:"
        yield MARK_COLUMNS, _mark_rows(marks, found)
    if marks.is_words and marks.scale:
        yield "\nHow much each marked as done, and what others did in the same performances and criteria:"
        yield LENIENCY_COLUMNS, leniency_rows([*leniency(marks), *leniency(marks, by_criterion=True)])
    if held is not None:
        yield "\nAgainst the key:"
        yield KEY_COLUMNS, _key_rows(held)


def _head(marks: Marks, found: Figures) -> str:
    """Say what was compared."""
    performances = f"{found.performances:,} performance{'' if found.performances == 1 else 's'}"
    observers = f"{len(marks.observers)} observer{'' if len(marks.observers) == 1 else 's'}"
    return f"{observers}, {performances}, criteria in them marked by two or more: {found.paired:,}"


def remarks(marks: Marks, found: Figures) -> list[str]:
    """Say how the intervals were made, and what a reader of the figures should know."""
    return [*_on_definition(marks, found), *_on_paradox(marks, found), *_on_intervals(found)]


def _on_definition(marks: Marks, found: Figures) -> Iterator[str]:
    if not found.paired:
        yield "No criterion was marked by two observers, so there is nothing to compare."
    elif found.fleiss is None:
        yield (
            "All marks that can be compared are one and the same. Whether observers would also agree on the others has"
            " not been seen, so no coefficient is defined; show them performances that differ."
        )
    if any(None in row for row in marks.rows) and found.fleiss:
        yield "Marks are missing: Fleiss' kappa is its generalization by Gwet (2014); alpha and AC1 allow for it."


def _on_paradox(marks: Marks, found: Figures) -> Iterator[str]:
    """Explain high agreement with a low kappa where it occurs."""
    kappa, pairs = found.cohen or found.fleiss, found.percent_of_pairs
    if kappa is None or pairs is None or pairs.value < HIGH_PERCENT or kappa.value > LOW_KAPPA:
        return
    share, mark = max(zip(found.shares, map(_number, marks.scale), strict=True), key=lambda one: one[0])
    beside = f" AC1, which this moves less, is {found.ac1.value:.3f}." if found.ac1 else ""
    yield (
        f"High agreement and a low kappa: {pairs.value:.1f} percent of pairs agree, but {share:.0%} of all marks are"
        f" {mark}, so that nearly as much would be expected by chance, and a few disagreements weigh heavily (Feinstein"
        f" and Cicchetti 1990).{beside} Look at where they differ, and show more performances of the rarer kind."
    )


def _on_intervals(found: Figures) -> Iterator[str]:
    figures = [figure for figure in _figures(found).values() if figure]
    made = {figure.how for figure in figures if figure.low is not None}
    if How.BOOTSTRAP in made:
        yield (
            f"Intervals are of 95 percent. Bootstrap: percentiles over {found.samples:,} samples of whole performances,"
            f" seed {found.seed}."
        )
    if How.FORMULA in made:
        yield "Formula: the large-sample standard error of Fleiss, Cohen and Everitt (1969)."
    if undefined := max((figure.undefined for figure in figures), default=0):
        yield f"In {undefined:,} samples a coefficient was not defined; intervals leave them out."
    if any(figure.low is not None and figure.low == figure.high for figure in figures):
        yield "An interval of no width says that the marks given do not vary, not that the next ones will not."
    if figures and not made:
        yield "There is no interval: it takes two performances, and a coefficient that most samples of them define."
