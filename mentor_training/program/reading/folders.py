"""Collect the files of a definition from the three folders of an instance."""

from __future__ import annotations

from pathlib import Path

from mentor_training.program.reading.findings import Finding

_ENDINGS = (".toml", ".md", ".yaml", ".yml", ".svg")
_NOT_OURS = ("README.md",)


def collect_files(program: Path, modules: Path, quizzes: Path) -> tuple[dict[str, str], tuple[Finding, ...]]:
    """Return the texts by the path people know them by, and a fault for each file that is no UTF-8 text.

    A folder that is not there holds nothing. Line ends become plain line feeds and a byte order mark is left out, so
    that the same definition has the same hash whatever editor wrote it. Hidden files and README.md are left alone.
    """
    files: dict[str, str] = {}
    findings: list[Finding] = []
    for name, folder in (("program", program), ("modules", modules), ("quizzes", quizzes)):
        for path in sorted(folder.rglob("*")):
            inside = path.relative_to(folder)
            if _is_ours(path, inside):
                _collect(path, f"{name}/{inside.as_posix()}", files, findings)
    return files, tuple(findings)


def _is_ours(path: Path, inside: Path) -> bool:
    hidden = any(part.startswith(".") for part in inside.parts)
    return path.suffix in _ENDINGS and not hidden and inside.name not in _NOT_OURS and not path.is_dir()


def _collect(path: Path, name: str, files: dict[str, str], findings: list[Finding]) -> None:
    try:
        raw = path.read_bytes()
        text = raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except OSError as error:
        right = "let the program read it"
        findings.append(Finding(name, 1, f"the file cannot be read ({error.strerror})", right))
        return
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        findings.append(Finding(name, line, "the file is not UTF-8 text", "save it with the encoding UTF-8"))
        return
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        findings.append(Finding(name, line, "the file holds a zero byte and is no text", "write it anew as text"))
        return
    files[name] = text
