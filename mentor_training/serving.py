"""Serving an instance by a production WSGI server."""

from __future__ import annotations

import signal
import socket
import threading
from collections.abc import Callable
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

from waitress import wasyncore
from waitress.server import create_server

from mentor_training.application import KINDS, create_app
from mentor_training.database.health import faults
from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.jobs.worker import Worker
from mentor_training.journal.queries import newest_moment
from mentor_training.papers.actions.scans import sweep
from mentor_training.papers.scans.folder import folder_of
from mentor_training.people.permissions import CONSOLE

THREADS = 4


def serve(instance: Instance, host: str, port: int, say: Callable[[str], object], works: bool = True) -> None:
    """Serve an instance until it is interrupted, after saying where; refuse one that is not in order.

    A worker of its own does what is asked for in the background, unless others do (`works` is false).
    Port 0 takes a free one. Behind a proxy that speaks HTTPS the instance's `address` begins with https, and forms
    and cookies then insist on it; `proxies` says how many are believed about who asks.
    """
    wrong = faults(instance)
    if wrong:
        raise Refused(*wrong)
    sweep_scans(instance)
    listening = listen(host, port)
    scheme = urlsplit(instance.settings.address).scheme
    waiting: dict[int, Any] = {}
    server: Any = create_server(
        create_app(instance), map=waiting, sockets=[listening], threads=THREADS, url_scheme=scheme, ident=None,
        clear_untrusted_proxy_headers=not instance.settings.proxies,
    )  # fmt: skip
    _stop_on_signals(server, waiting)
    where = address_of(host, listening.getsockname()[1])
    say(f"{instance.settings.title} is served on {where}; stop it with Ctrl+C")
    if not is_this_machine_only(host) and scheme != "https":
        say("this is reachable beyond this machine, in the clear: put a proxy with HTTPS before it, and set `address`")
    worker = Worker(instance, KINDS)
    if works:
        worker.start()
    server.run()
    worker.stop()
    server.task_dispatcher.shutdown()


def work(instance: Instance, say: Callable[[str], object]) -> None:
    """Do background work until interrupted; what is being done then is handed back for another worker."""
    wrong = faults(instance)
    if wrong:
        raise Refused(*wrong)
    told = threading.Event()
    for sign in (signal.SIGINT, signal.SIGTERM):
        signal.signal(sign, lambda *_: told.set())
    worker = Worker(instance, KINDS)
    worker.start()
    say(f"{instance.settings.title}: worker {worker.name} waits for work; stop it with Ctrl+C")
    # The solver runs in the worker's thread, so that this one hears signals at any time.
    told.wait()
    worker.stop()
    say("stopped")


def _stop_on_signals(server: Any, waiting: dict[int, Any]) -> None:
    """Stop a server when it is interrupted or told to end; asked a second time, it ends at once."""

    def end(sign: int, _frame: object) -> None:
        signal.signal(sign, signal.SIG_DFL)
        # A thread of its own: whatever the server is doing when the signal comes is not broken off in the middle.
        threading.Thread(target=stop, args=(server, waiting)).start()

    for sign in (signal.SIGINT, signal.SIGTERM):
        signal.signal(sign, end)


def stop(server: Any, waiting: dict[int, Any]) -> None:
    """Have a running server close all that it waits on, in its own thread; its `run` then comes to an end."""
    server.trigger.pull_trigger(lambda: wasyncore.close_all(waiting))


def sweep_scans(instance: Instance) -> None:
    """Delete what a process that died left behind, and what has been due since."""
    with instance.database.writing() as db:
        at = max(instance.now(), newest_moment(db) or instance.now())
        sweep(db, at, instance.settings.zone, CONSOLE, folder_of(instance.settings))


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens there, or refuse and say what to do."""
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        return socket.create_server((host, port), family=family)
    except OSError as error:
        wrong = error.strerror or error
        raise Refused(f"{host}:{port} cannot be listened on: {wrong}. Choose another --host or --port.") from None


def address_of(host: str, port: int) -> str:
    """Return the address that a browser takes; an IPv6 host stands in brackets (RFC 3986, section 3.2.2)."""
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def is_this_machine_only(host: str) -> bool:
    """Say whether a host is reached from the machine itself and from nowhere else."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
