"""A network that loses answers: the program has stored what was sent, and the phone never hears of it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator
from typing import Any

Start = Callable[..., Any]
Application = Callable[[dict[str, Any], Start], Iterable[bytes]]


class Dropping:
    """Wraps an application; of what is sent to one address, every second answer breaks off after it was stored."""

    def __init__(self, application: Application, address: str) -> None:
        self.application = application
        self.address = address
        self.asked = 0
        self.lost = 0
        self._turn = threading.Lock()

    def __call__(self, environ: dict[str, Any], start_response: Start) -> Iterable[bytes]:
        """Answer, or begin to answer and break off."""
        if environ["PATH_INFO"] != self.address or not self._loses_this_one():
            return self.application(environ, start_response)
        answer = self.application(environ, lambda *_given, **_more: lambda _part: None)
        for _part in answer:
            pass
        getattr(answer, "close", lambda: None)()
        start_response("200 OK", [("Content-Type", "application/json"), ("Content-Length", "100")])
        return self._broken_off()

    def _loses_this_one(self) -> bool:
        with self._turn:
            self.asked += 1
            loses = self.asked % 2 == 1
            self.lost += loses
            return loses

    @staticmethod
    def _broken_off() -> Iterator[bytes]:
        yield b"{"
        raise ConnectionResetError("the network is gone in the middle of an answer")
