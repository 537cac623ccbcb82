"""Reminders when something goes wrong on the way: nobody gets a mail twice, and as little as can be is lost."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from textwrap import dedent

import pytest
from sqlalchemy import select

from mentor_training.letters.tables import Mail, MailEnd
from mentor_training.settings import read_settings
from tests.builders import SETTINGS, World
from tests.letters.friday import EVERYBODY, ask, served, with_mail
from tests.letters.mail_server import PASSWORD, Kept, certificate, free_port, mail_server

ADDRESS = "{}@marrowdale.example"


def test_when_the_server_is_down_nothing_is_begun_and_all_is_due_again(friday: World) -> None:
    """Exit status 1, and which server cannot be reached."""
    world = with_mail(friday, "127.0.0.1", port := free_port())
    failed = ask(world)
    assert failed.exit_code == 1
    assert f"the mail server 127.0.0.1:{port} cannot be reached" in failed.output
    with friday.reading() as db:
        assert db.scalars(select(Mail)).all() == []
    with served(friday, kept := Kept()) as world:
        assert ask(world).exit_code == 0
    assert kept.people == EVERYBODY


def test_one_address_that_is_refused_keeps_nobody_else_waiting_and_is_tried_again(friday: World) -> None:
    """The server's code is named; the next run tries that one alone."""
    kept = Kept(refused={ADDRESS.format("v-002")})
    with served(friday, kept) as world:
        first = ask(world)
        assert first.exit_code == 1
        assert "v-002: the address is refused by the server (550)" in first.output
        assert kept.people == [one for one in EVERYBODY if one != "v-002"]
        kept.refused.clear()
        assert ask(world).output == "v-002: sent\n"
    assert kept.people[-1] == "v-002"


def test_a_connection_that_breaks_before_the_text_is_made_again(friday: World) -> None:
    """The one it broke on is due again; the others go out over a new connection."""
    kept = Kept(hangs_up_on={ADDRESS.format("v-002")})
    with served(friday, kept) as world:
        first = ask(world)
        assert (first.exit_code, "v-002: not sent, the connection broke" in first.output) == (1, True)
        assert kept.people == [one for one in EVERYBODY if one != "v-002"]
        kept.hangs_up_on.clear()
        assert ask(world).output == "v-002: sent\n"


def test_a_server_that_takes_too_long_is_left_and_its_mail_is_never_sent_twice(friday: World) -> None:
    """Nobody knows whether it went out, so that it counts as told; two such mails in a row end the run."""
    kept = Kept(silent_for={ADDRESS.format(one) for one in ("v-001", "v-003", "v-004")})
    with served(friday, kept, 'security = "none"\ntimeout_seconds = 1') as world:
        first = ask(world)
        assert first.exit_code == 1
        assert "v-001: no answer, so that it may have gone out; it is not sent again" in first.output
        assert "2 mails in a row had no answer; the rest waits for another run" in first.output
        assert kept.people == EVERYBODY[:6]
        kept.silent_for.clear()
        second = ask(world)
        assert second.exit_code == 0
        assert "3 earlier mails ended without an answer; they count as sent" in second.output
    assert kept.people == EVERYBODY


def test_a_killed_run_is_taken_up_and_nobody_gets_a_second_mail(friday: World) -> None:
    """It is killed while the server has a mail in its hands: that one counts as told, and the rest goes out."""
    kept = Kept(silent_for={ADDRESS.format("v-001")})
    with served(friday, kept) as world:
        program = dedent(
            """
            import sys
            from datetime import datetime
            from pathlib import Path
            from mentor_training.clock import FixedClock
            from mentor_training.database.instance import open_instance
            from mentor_training.letters.commands import remind
            instance = open_instance(Path(sys.argv[1]), FixedClock(datetime.fromisoformat(sys.argv[2])))
            remind.main([], obj=instance)
            """
        )
        where = [str(world.instance.settings.folder), world.clock.now().isoformat()]
        running = subprocess.Popen([sys.executable, "-c", program, *where], stdout=subprocess.DEVNULL)
        while kept.people[-1:] != ["v-001"]:
            assert kept.arrived.wait(60)
            kept.arrived.clear()
        running.kill()
        running.wait()
        with friday.reading() as db:
            begun, ended = len(db.scalars(select(Mail)).all()), len(db.scalars(select(MailEnd)).all())
        assert (begun, ended) == (3, 2)
        again = ask(world)
        assert again.exit_code == 0
        assert "1 earlier mail ended without an answer; it counts as sent" in again.output
    assert kept.people == EVERYBODY


def test_mails_go_out_sealed_and_signed_in_where_the_server_asks_for_it(
    friday: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """STARTTLS with a certificate that is trusted; with another, or a wrong password, nothing goes out."""
    trusted, tls = certificate(tmp_path)
    with mail_server(kept := Kept(), tls) as port:
        wrong = with_mail(friday, "localhost", port, 'user = "movement"', MENTOR_TRAINING_MAIL_PASSWORD="guess")
        assert "shows no certificate that this machine trusts" in ask(wrong).output
        monkeypatch.setenv("SSL_CERT_FILE", str(trusted))
        assert "does not let `movement` in (535)" in ask(wrong).output
        assert kept.mails == []
        right = with_mail(friday, "localhost", port, 'user = "movement"', MENTOR_TRAINING_MAIL_PASSWORD=PASSWORD)
        assert ask(right).exit_code == 0
    assert kept.people == EVERYBODY


def test_a_server_that_offers_no_starttls_gets_nothing(friday: World) -> None:
    """Nothing goes out unsealed because a server does not say that it can seal."""
    with served(friday, kept := Kept(), "") as world:
        failed = ask(world)
    assert (failed.exit_code, kept.mails) == (1, [])
    assert "does not offer what is asked of it" in failed.output
    assert "look at `security`" in failed.output


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("", "[mail] has no `host`; write host ="),
        ('host = "smtp.campus.example"\nsecurity = "none"', "smtp.campus.example is another machine; write"),
        ('host = "localhost"\nuser = "a"', "`a` needs a password, in"),
        ('host = "localhost"\nuser = "a"\nsecurity = "none"', "a password would go out unsealed"),
    ],
)
def test_settings_that_do_not_do_are_named_before_anything_is_begun(friday: World, more: str, words: str) -> None:
    """Wrong usage: exit status 2, and what would be right."""
    folder = friday.instance.settings.folder
    (folder / "settings.toml").write_text(f'{SETTINGS}[mail]\nsender = "a@b.example"\n{more}\n', encoding="utf-8")
    world = World(
        type(friday.instance)(read_settings(folder, {}), friday.instance.database, friday.clock), friday.clock
    )
    failed = ask(world)
    assert failed.exit_code == 2
    assert words in " ".join(failed.output.replace("│", " ").split())
    with friday.reading() as db:
        assert db.scalars(select(Mail)).all() == []
