"""stations.toml and needs.toml: what is read, and each seeded slip at its line."""

from __future__ import annotations

from mentor_training.program.catalog import Need, Station
from tests.program.definitions import SAFETY, found, program_of

FILES = {"modules/safety.md": SAFETY}
SKILL = "---\nslug: guarding\ntitle: Guarding\nrisk: ordinary\ncriteria:\n  - text: Stands close.\n---\n"

STATIONS_WITH_SLIPS = """\
[[station]]
slug = "Balance Lane"
title = 3
kind = "dutty"
activities = ["standing", "standing", "Floor work"]
capacity = -1
leads = 1
practices = ["skill/guardin", "module/safety"]
superviced = "module/safety"
independent = "module/safety"

[[station]]
slug = "games"
titel = "Games"
capacity = "six"
independent = "module/safty"

[[station]]
slug = "games"
title = " "
activities = "throwing"
leads = 1.5
practices = ["skill/guarding", "skill/guarding"]
supervised = "module/safety"
independent = "module/safety"
"""

NEEDS_WITH_SLIPS = """\
[[need]]
slug = "fall-risk"
title = "Fall risk"
activities = ["standin", "water"]
mentors = 0
lead = "module/safety"
independent = "module/safety"

[[need]]
slug = "fall-risk"
title = "Fall risk again"
causion = "Stay close."
supervised = "module/safety"
"""


def test_a_station_is_read_whole() -> None:
    """Every key of the form arrives where it belongs."""
    text = (
        '[[station]]\nslug = "lane"\ntitle = "Lane"\nactivities = ["standing"]\ncapacity = 6\nleads = 1\n'
        'practices = ["skill/guarding"]\ncaution = "Dry floor."\n'
        'independent = "module/safety"\nlead = "skill/guarding"\n'
        '[[station]]\nslug = "desk"\ntitle = "Desk"\nkind = "duty"\nindependent = "module/safety"\n'
    )
    stations = program_of({**FILES, "program/stations.toml": text, "program/skills/guarding.md": SKILL}).stations
    assert list(stations) == ["lane", "desk"]
    lane, desk = stations.values()
    assert lane == Station(
        "lane", "Lane", lane.ladder, "station", ("standing",), 6, 1, ("skill/guarding",), "Dry floor."
    )
    assert desk == Station("desk", "Desk", desk.ladder, "duty")


def test_a_need_is_read_whole() -> None:
    """It bites where it shares an activity with a station, or everywhere."""
    text = (
        '[[need]]\nslug = "two"\ntitle = "Two"\nmentors = 2\ncaution = "Both sides."\nindependent = "module/safety"\n'
        '[[need]]\nslug = "fall"\ntitle = "Fall"\nactivities = ["standing"]\nindependent = "module/safety"\n'
    )
    stations = (
        '[[station]]\nslug = "lane"\ntitle = "L"\ncapacity = 1\nactivities = ["standing"]\nlead = "module/safety"\n'
    )
    program = program_of({**FILES, "program/needs.toml": text, "program/stations.toml": stations})
    two, fall = program.needs.values()
    assert two == Need("two", "Two", two.ladder, (), 2, "Both sides.")
    assert fall == Need("fall", "Fall", fall.ladder, ("standing",))
    assert two.applies_at(Station("x", "X", two.ladder))
    assert not fall.applies_at(Station("x", "X", two.ladder, activities=("throwing",)))


def test_every_slip_in_the_stations_is_said_at_its_line() -> None:
    """All at once, the later stations' slips too."""
    files = {**FILES, "program/stations.toml": STATIONS_WITH_SLIPS, "program/skills/guarding.md": SKILL}
    at = "program/stations.toml"
    assert found(files) == [
        f"{at}:2: `Balance Lane` is no slug; use a to z, 0 to 9 and hyphens, like `balance-lane`",
        f"{at}:3: `title` is 3; it must be a text in quotes",
        f"{at}:4: unknown kind `dutty`; did you mean `duty`?",
        f"advice: {at}:5: `standing` stands twice in `activities`; name it once",
        f"{at}:5: `Floor work` is no slug; use a to z, 0 to 9 and hyphens, like `floor-work`",
        f"{at}:6: `capacity` is -1; it must be a whole number, 0 or more",
        (
            f"advice: {at}:7: a station needs 1 to lead it and has no `lead` rung, so that nobody ever leads it; "
            "add `lead`, or set `leads` to 0"
        ),
        f"{at}:8: unknown item `skill/guardin`; did you mean `skill/guarding`?",
        f"{at}:8: `module/safety` cannot be practiced; name skills only",
        f"{at}:9: unknown key `superviced` in a station; did you mean `supervised`?",
        f"{at}:12: a station has no `title`; add `title`",
        f"{at}:14: unknown key `titel` in a station; did you mean `title`?",
        f'{at}:15: `capacity` is the text "six"; it must be a whole number, 0 or more',
        f"{at}:16: unknown item `module/safty`; did you mean `module/safety`?",
        f'advice: {at}:18: no participant fits here; add `capacity`, or kind = "duty"',
        f"{at}:19: the station `games` is there twice, first at {at}:13; give each a name of its own",
        f"{at}:20: `title` is empty; write a text",
        f'{at}:21: `activities` is the text "throwing"; it must be a list of texts',
        f"{at}:22: `leads` is 1.5; it must be a whole number, 0 or more",
        f"advice: {at}:23: `skill/guarding` stands twice in `practices`; name it once",
        (
            f"advice: {at}:24: nobody can lead here, and supervised mentors work only under a lead; "
            "add `lead`, or leave `supervised` out"
        ),
    ]


def test_every_slip_in_the_needs_is_said_at_its_line() -> None:
    """A tag that looks like a slip of a station's would silently switch the need off, so it is a fault."""
    stations = (
        '[[station]]\nslug = "lane"\ntitle = "L"\ncapacity = 1\nactivities = ["standing"]\nlead = "module/safety"\n'
    )
    files = {**FILES, "program/needs.toml": NEEDS_WITH_SLIPS, "program/stations.toml": stations}
    at = "program/needs.toml"
    assert found(files) == [
        f"{at}:4: no station has the activity `standin`; did you mean `standing`?",
        f"advice: {at}:4: no station has the activity `water`; there is only `standing`",
        f"{at}:5: `mentors` is 0; it must be a whole number from 1 to 10",
        f"{at}:6: a need has no `lead` rung; end its ladder with `independent`",
        f"{at}:10: the need `fall-risk` is there twice, first at {at}:2; give each a name of its own",
        f"{at}:12: unknown key `causion` in a need; did you mean `caution`?",
        (
            f"advice: {at}:13: the ladder of a need ends at `supervised`: "
            "whoever has climbed it keeps the level at the station; add `independent`"
        ),
    ]


def test_a_tag_that_differs_in_its_number_only_is_no_slip() -> None:
    """`pool-1` and `pool-2` are two pools."""
    lane = '[[station]]\nslug = "lane"\ntitle = "L"\ncapacity = 1\nactivities = ["pool-1"]\nlead = "module/safety"\n'
    need = '[[need]]\nslug = "n"\ntitle = "N"\nactivities = ["pool-2"]\nindependent = "module/safety"\n'
    assert found({**FILES, "program/stations.toml": lane, "program/needs.toml": need}) == [
        "advice: program/needs.toml:4: no station has the activity `pool-2`; did you mean `pool-1`?"
    ]


def test_a_table_where_a_list_of_tables_should_be_is_said() -> None:
    """One pair of brackets makes a table, two make an entry of a list."""
    assert found({"program/stations.toml": '[station]\nslug = "a"\n\n[[ned]]\nslug = "b"\n'}) == [
        "program/stations.toml:1: `station` is a table; it must be a list of tables, each headed [[station]]",
        "program/stations.toml:4: unknown key `ned` in this file; there is only `station`",
    ]


def test_a_file_that_cannot_be_parsed_does_not_hide_the_slips_of_the_others() -> None:
    """Nor are the names that it may define reported as unknown."""
    files = {
        "program/papers.toml": '[[paper]]\nslug = "check\n',
        "program/stations.toml": '[[station]]\nslug = "a"\ntitle = "A"\ncapacity = 1\n'
        'lead = { all = ["paper/check", "module/x"] }\n',
        "modules/y.md": "no front matter",
        "program/certificates.toml": '[[certificate]]\nslug = "c"\ntitle = "C"\ntext = "T"\nrequires = "module/y"\n',
    }
    assert found(files) == [
        "modules/y.md:1: there is no front matter; begin the file with a line of three hyphens `---`",
        (
            "program/papers.toml:2: this is not TOML (Illegal character '\\n'); "
            'write key = value, texts in "quotes", commas between the entries of a list'
        ),
        "program/stations.toml:5: unknown item `module/x`; did you mean `module/y`?",
    ]
