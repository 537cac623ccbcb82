"""An instance's settings: settings.toml and the environment, one typed, frozen value."""

from __future__ import annotations

import difflib
import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError


class SettingsError(Exception):
    """Something in settings.toml is wrong; the message names file and line."""


@dataclass(frozen=True)
class MailServer:
    """Where mails are handed over, and as whom. `security` is starttls, or none for a server on this machine."""

    sender: str
    host: str
    port: int
    security: str
    user: str
    password: str = field(repr=False)
    timeout_seconds: int


@dataclass(frozen=True)
class Settings:
    """Everything an instance needs to know before it opens its database."""

    folder: Path
    title: str
    zone: ZoneInfo
    database: str
    address: str
    program: Path
    modules: Path
    quizzes: Path
    mail: Mapping[str, Any]
    minimum_length: int
    idle_minutes: int
    secret_key: str
    place: str = ""
    paper: str = "letter"
    proxies: int = 0
    mail_password: str = field(default="", repr=False)

    @property
    def demo(self) -> bool:
        """Return whether this instance is a demo, which offers its people by one button each."""
        return (self.folder / "demo.json").exists()


_KNOWN: dict[str, type | tuple[type, ...]] = {
    "title": str,
    "time_zone": str,
    "database": str,
    "address": str,
    "place": str,
    "paper": str,
    "proxies": int,
    "folders.program": str,
    "folders.modules": str,
    "folders.quizzes": str,
    "mail.sender": str,
    "mail.host": str,
    "mail.port": int,
    "mail.security": str,
    "mail.user": str,
    "mail.timeout_seconds": int,
    "sign_in.minimum_length": int,
    "sign_in.idle_minutes": int,
}


_BOUNDS = {
    "sign_in.minimum_length": (8, 64),
    "sign_in.idle_minutes": (1, 1440),
    "mail.port": (1, 65535),
    "proxies": (0, 8),
    "mail.timeout_seconds": (1, 600),
}
_FORMS = {
    "paper": (r"letter|a4", "it must be letter or a4"),
    "mail.sender": (r"[^@\s<>,;\"]+@[^@\s<>,;\"]+", "it must be one address, like movement-mornings@campus.example"),
    "mail.host": (r"[A-Za-z0-9.:-]+", "it must be the name of a server, like smtp.campus.example"),
    "mail.security": (r"starttls|none", "it must be starttls, or none for a server on this machine"),
}
_THIS_MACHINE = ("localhost", "127.0.0.1", "::1")
_STARTS = {
    "database": ("sqlite:///", "postgresql+psycopg://"),
    "address": ("http://", "https://"),
}
_FROM_ENVIRONMENT = {"MENTOR_TRAINING_DATABASE": "database", "MENTOR_TRAINING_ADDRESS": "address"}


def read_settings(folder: Path, environment: Mapping[str, str] = os.environ) -> Settings:
    """Read `settings.toml` of an instance.

    The environment wins over the file: MENTOR_TRAINING_DATABASE, MENTOR_TRAINING_ADDRESS, MENTOR_TRAINING_SECRET_KEY.
    """
    path = folder / "settings.toml"
    if not path.is_file():
        how = f"python3 -m mentor_training start {folder}"
        raise SettingsError(f"{path}: there is no such file; make an instance with `{how}`")
    text = _text(path)
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{path}:{_line_of(error, text)}: this is not TOML ({error})") from None
    flat = _flatten(table)
    _check(path, text, flat)
    _check_environment(environment)
    return _settings(folder, path, text, flat, environment)


def _text(path: Path) -> str:
    data = path.read_bytes()
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise SettingsError(f"{path}:{line}: it is not UTF-8; save it as UTF-8") from None


def _line_of(error: tomllib.TOMLDecodeError, text: str) -> int:
    """Return the line that the parser's message names; its other form speaks of the end of the document."""
    named = re.search(r"at line (\d+)", str(error))
    return int(named[1]) if named else max(1, len(text.splitlines()))


def _flatten(table: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, dict):
            flat.update(_flatten(value, f"{prefix}{key}."))
        else:
            flat[prefix + key] = value
    return flat


def _line(text: str, key: str) -> int:
    """Return the line on which a key of a table such as `mail.port` stands; 1 where it is written in another way."""
    table, _, name = key.rpartition(".")
    here = ""
    for number, line in enumerate(text.splitlines(), 1):
        head = re.fullmatch(r"\s*\[\s*([^\[\]]+?)\s*\]\s*(#.*)?", line)
        here = head[1].strip("\"'") if head else here
        if here == table and line.split("=", 1)[0].strip().strip("\"'") == name:
            return number
    return 1


def _check(path: Path, text: str, flat: Mapping[str, Any]) -> None:
    faults = []
    for key, value in flat.items():
        wanted = _KNOWN.get(key)
        if wanted is None:
            near = difflib.get_close_matches(key, _KNOWN, 1)
            hint = f"did you mean `{near[0]}`?" if near else f"known keys are {', '.join(sorted(_KNOWN))}"
            faults.append(f"{path}:{_line(text, key)}: unknown setting `{key}`; {hint}")
        elif not isinstance(value, wanted) or isinstance(value, bool):
            kind = "a whole number" if wanted is int else "a text in quotes"
            faults.append(f"{path}:{_line(text, key)}: `{key}` is {value!r}; it must be {kind}")
        else:
            wrong = _wrong_value(key, value)
            # An address of a database may hold a password, which no message repeats.
            shown = "does not fit" if key == "database" else f"is {value!r}"
            faults += [f"{path}:{_line(text, key)}: `{key}` {shown}; {wrong}"] if wrong else []
    if "title" not in flat:
        faults.append(f'{path}:1: `title` is missing; write title = "the name people know the program by"')
    if faults:
        raise SettingsError("\n".join(faults))


def _check_environment(environment: Mapping[str, str]) -> None:
    for name, key in _FROM_ENVIRONMENT.items():
        wrong = _wrong_value(key, environment[name]) if environment.get(name) else ""
        if wrong:
            raise SettingsError(f"the environment: {name} does not fit; {wrong}")


def _wrong_value(key: str, value: object) -> str:
    """Return what a value must be that has the right type and cannot be used, or nothing."""
    least, most = _BOUNDS.get(key, (None, None))
    if isinstance(value, int) and least is not None and most is not None and not least <= value <= most:
        return f"it must be from {least} to {most}"
    starts = _STARTS.get(key)
    if starts and not str(value).startswith(starts):
        return f"it must begin with {' or '.join(starts)}"
    form = _FORMS.get(key)
    if form and not (re.fullmatch(form[0], str(value)) and str(value).isascii()):
        return form[1]
    return "" if value != "" else "it must not be empty"


def _settings(folder: Path, path: Path, text: str, flat: Mapping[str, Any], environment: Mapping[str, str]) -> Settings:
    try:
        zone = ZoneInfo(flat.get("time_zone", "UTC"))
    except (ZoneInfoNotFoundError, ValueError):
        line = _line(text, "time_zone")
        raise SettingsError(
            f"{path}:{line}: time_zone {flat['time_zone']!r} is not known; write one like America/New_York"
        ) from None
    database = environment.get("MENTOR_TRAINING_DATABASE") or flat.get("database", "sqlite:///data/mentor-training.db")
    return Settings(
        folder=folder,
        title=flat["title"],
        zone=zone,
        database=_absolute(folder, database),
        address=(environment.get("MENTOR_TRAINING_ADDRESS") or flat.get("address", "http://127.0.0.1:8765")).rstrip(
            "/"
        ),
        program=folder / flat.get("folders.program", "program"),
        modules=folder / flat.get("folders.modules", "modules"),
        quizzes=folder / flat.get("folders.quizzes", "quizzes"),
        mail={key.split(".")[1]: value for key, value in flat.items() if key.startswith("mail.")},
        mail_password=environment.get("MENTOR_TRAINING_MAIL_PASSWORD") or _key(folder, "mail-password"),
        minimum_length=flat.get("sign_in.minimum_length", 15),
        idle_minutes=flat.get("sign_in.idle_minutes", 30),
        secret_key=environment.get("MENTOR_TRAINING_SECRET_KEY") or _key(folder, "secret-key"),
        place=flat.get("place", ""),
        paper=flat.get("paper", "letter"),
        proxies=flat.get("proxies", 0),
    )


def _absolute(folder: Path, url: str) -> str:
    start = "sqlite:///"
    if url.startswith(start) and not url.startswith(start + "/") and ":memory:" not in url:
        return start + str((folder / url.removeprefix(start)).resolve())
    return url


def _key(folder: Path, name: str) -> str:
    path = folder / "keys" / name
    return path.read_text(encoding="ascii").strip() if path.is_file() else ""


def mail_server(settings: Settings) -> MailServer:
    """Return how mails are sent, or say in a SettingsError everything that keeps them from being sent.

    Asked for only where something is sent: a program may run without mail.
    """
    mail, path = settings.mail, settings.folder / "settings.toml"
    host, user, security = mail.get("host", ""), mail.get("user", ""), mail.get("security", "starttls")
    faults = [
        f'{path}: [mail] has no `{key}`; write {key} = "{like}"'
        for key, like in (("sender", "movement-mornings@campus.example"), ("host", "smtp.campus.example"))
        if not mail.get(key)
    ]
    if host and security == "none" and host not in _THIS_MACHINE:
        faults.append(f"{path}: [mail] `security` is 'none' and {host} is another machine; write \"starttls\"")
    if user and security == "none":
        faults.append(f'{path}: [mail] a password would go out unsealed; write security = "starttls" or no `user`')
    if user and not settings.mail_password:
        where = settings.folder / "keys" / "mail-password"
        faults.append(f"{path}: [mail] `{user}` needs a password, in {where} or MENTOR_TRAINING_MAIL_PASSWORD")
    if faults:
        raise SettingsError("\n".join(faults))
    port = mail.get("port", 587 if security == "starttls" else 25)
    return MailServer(
        mail["sender"], host, port, security, user, settings.mail_password, mail.get("timeout_seconds", 30)
    )
