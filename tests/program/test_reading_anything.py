"""Whatever stands in the files, reading them ends in a program or in findings, never in an error of the program."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.program.reading import read_program
from tests.small_program import small_files

PIECES = st.one_of(
    st.sampled_from(
        ["", "\n", "[[", "]]", "{", "}", "---\n", "- ", ": ", "null", "1", "-1", "1e999", "true", '"', "'", "#"]
    ),
    st.sampled_from(
        ["[]", "{}", "[[]]", "{ all = [] }", "&a ", "*a", "!!x ", "+++\n", "## {#", "\t", "\x00", "é", "[caution: x]"]
    ),
    st.text(max_size=5),
)


def with_toml_and_plain_forms() -> dict[str, str]:
    """Return files of the other forms: TOML between plus signs, texts in the place of tables, no slugs."""
    skill = '+++\nslug = "guarding"\ntitle = "G"\ncriteria = ["Near.", { text = "Dry." }]\n[sign_off]\ndays = 1\n+++\n'
    module = "---\nslug: safety\ntitle: Safety\nsources: [Hands]\ncautions: [Stop]\n---\n# Hands\n## Hands\n"
    return {
        "program/program.toml": 'name = "P"\n',
        "program/stations.toml": '[[station]]\nslug = "lane"\ntitle = "Lane"\nsupervised = "skill/guarding"\n',
        "program/standards.toml": '[[standard]]\nslug = "s"\ntitle = "S"\n',
        "program/skills/guarding.md": skill,
        "modules/safety.md": module,
    }


@st.composite
def damaged(draw: st.DrawFn) -> dict[str, str]:
    """Draw one of two programs with a few pieces of its files replaced by something else."""
    files = draw(st.sampled_from([small_files, with_toml_and_plain_forms]))()
    for _ in range(draw(st.integers(1, 4))):
        path = draw(st.sampled_from(sorted(files)))
        text = files[path]
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 12)))
        files[path] = text[:start] + draw(PIECES) + text[end:]
    return files


@settings(max_examples=200, deadline=None)
@given(damaged())
def test_a_damaged_file_is_told_and_never_breaks_the_reading(files: dict[str, str]) -> None:
    """No program if and only if there is a fault; every finding names a line of its file."""
    program, findings = read_program(files)
    assert (program is None) == any(one.fault for one in findings)
    for one in findings:
        assert 1 <= one.line <= files[one.file].count("\n") + 1


def test_the_other_forms_are_a_program_before_they_are_damaged() -> None:
    """Or nothing would be learned from damaging them."""
    program, findings = read_program(with_toml_and_plain_forms())
    assert program is not None
    assert findings
