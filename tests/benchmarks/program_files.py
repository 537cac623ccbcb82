"""The files of a large program: fifty stations and duties, twenty needs, twelve modules, twenty skills, six papers."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

MODULES = tuple(f"module/m-{number:02d}" for number in range(12))
SKILLS = tuple(f"skill/s-{number:02d}" for number in range(20))
PAPERS = tuple(f"paper/p-{number}" for number in range(6))
PRACTICED = SKILLS[:4]
TAGS = tuple(f"tag-{number}" for number in range(10))
STATIONS = tuple(f"station-{number:02d}" for number in range(50))
NEEDS = tuple(f"need-{number:02d}" for number in range(20))
SEED = 20261016


def program_files(stations: int = 50, needs: int = 20) -> dict[str, str]:
    """Return the files, by path; the same each time."""
    random = Random(SEED)  # noqa: S311 - made-up files, no secrets
    files = {
        "program/program.toml": _program(),
        "program/stations.toml": "\n".join(_station(random, slug) for slug in STATIONS[:stations]),
        "program/needs.toml": "\n".join(_need(random, slug) for slug in NEEDS[:needs]),
        "program/papers.toml": "\n".join(_paper(slug) for slug in PAPERS),
    }
    files.update({f"program/skills/{slug}.md": _skill(slug) for slug in _slugs(SKILLS)})
    files.update({f"modules/{slug}.md": _module(slug) for slug in _slugs(MODULES)})
    return files


def _slugs(items: tuple[str, ...]) -> Iterator[str]:
    return (item.partition("/")[2] for item in items)


def _program() -> str:
    return f'name = "A large program"\nentry = {{ all = {_list([*PAPERS[:4], *MODULES[:2]])} }}\n'


def _list(items: list[str]) -> str:
    return "[" + ", ".join(item if item.startswith("{") else f'"{item}"' for item in items) + "]"


def _some(random: Random, items: tuple[str, ...], count: int) -> list[str]:
    return sorted(random.sample(items, count))


def _station(random: Random, slug: str) -> str:
    """Write a station as programs have them: some modules, then skills, then more skills with hours or sessions."""
    choice = f"{{ any = {_list(_some(random, SKILLS, 2))} }}"
    several = f"{{ at_least = 2, of = {_list(_some(random, SKILLS, 4))} }}"
    experience = random.choice(
        [
            f'{{ hours = "direct", at_least = {random.choice([4, 6, 8, 10])} }}',
            f"{{ sessions = {random.choice([2, 3])} }}",
            '{ any = [{ hours = "direct", at_least = 8 }, { sessions = 3 }] }',
        ]
    )
    return f"""\
[[station]]
slug = "{slug}"
title = "{slug.capitalize()}"
activities = {_list(_some(random, TAGS, 2))}
capacity = 6
leads = 1
practices = {_list([*PRACTICED])}
supervised = {{ all = {_list([*_some(random, MODULES, 3), *_some(random, SKILLS, 1)])} }}
independent = {{ all = {_list([*_some(random, SKILLS, 3), random.choice([choice, several])])} }}
lead = {{ all = {_list([*_some(random, SKILLS, 2), experience])} }}
"""


def _need(random: Random, slug: str) -> str:
    tags = [] if random.random() < 0.3 else _some(random, TAGS, 3)
    return f"""\
[[need]]
slug = "{slug}"
title = "{slug.capitalize()}"
activities = {_list(tags)}
supervised = {{ all = {_list(_some(random, MODULES, 2))} }}
independent = {{ all = {_list(_some(random, SKILLS, 2))} }}
"""


def _paper(item: str) -> str:
    slug, months = item.partition("/")[2], 24 if item == PAPERS[0] else 12
    waivable = "true" if item == PAPERS[5] else "false"
    return f'[[paper]]\nslug = "{slug}"\ntitle = "{slug}"\ngood_for_months = {months}\nwaivable = {waivable}\n'


def _skill(slug: str) -> str:
    practice = "practice_within_days: 120\n" if f"skill/{slug}" in PRACTICED else ""
    return f"""\
---
slug: {slug}
title: {slug}
risk: ordinary
criteria:
  - text: Looks first.
    critical: true
  - text: Speaks calmly.
good_for_months: 12
{practice}---
Look first.
"""


def _module(slug: str) -> str:
    return f"""\
---
slug: {slug}
title: {slug}
edition: 1
minutes: 20
good_for_months: 24
sources:
  - id: own
    text: This program's own practice
    mark: P
cautions:
  - slug: ask
    text: Ask when in doubt.
---
Read this.

[caution: ask]

## One {{#one}}

What to do [source: own].
"""
