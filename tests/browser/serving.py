"""Serves an instance on this machine for the browser of the tests, by the same server as in earnest."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from waitress.server import create_server

from mentor_training import serving
from mentor_training.application import create_app
from tests.builders import World


@contextmanager
def served(world: World, around: Callable[[Any], Any] | None = None) -> Iterator[str]:
    """Serve a world on a free port of the loopback address, and give its address; `around` wraps the application."""
    app: Any = create_app(world.instance, testing=True)
    sockets: dict[int, Any] = {}
    server: Any = create_server(around(app) if around else app, map=sockets, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}"
    finally:
        stop(server, sockets, thread)


def stop(server: Any, sockets: dict[int, Any], thread: threading.Thread) -> None:
    """Let what is being answered end, then close every socket in the server's own thread, which waits on them."""
    server.task_dispatcher.shutdown()
    serving.stop(server, sockets)
    thread.join(timeout=5)
    assert not thread.is_alive(), "the server did not stop"
