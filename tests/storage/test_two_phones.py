"""An observation that arrives twice at the same time, on both databases: it is stored once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from werkzeug.test import TestResponse

from mentor_training.application import create_app
from tests.builders import World
from tests.observing.floor import add_observer
from tests.observing.phone import rows, send, token_of
from tests.sign_in import Visitor


def test_the_same_sent_twice_at_once_is_stored_once(stored: World) -> None:
    """Two pages of one phone, or a retry that overtakes: both hear the same."""
    stored.add_person("v-001")
    add_observer(stored, "o-01")
    app = create_app(stored.instance, testing=True)
    visitors = [Visitor(app.test_client()).sign_in("o-01") for _ in range(2)]
    tokens = [token_of(one) for one in visitors]
    start = Barrier(2, timeout=60)

    def once(place: int) -> TestResponse:
        start.wait()
        return send(visitors[place], tokens[place])

    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(once, range(2)))
    assert sorted(answer.status_code for answer in answers) == [200, 201]
    assert answers[0].get_json() == answers[1].get_json()
    assert len(rows(stored)) == 1
