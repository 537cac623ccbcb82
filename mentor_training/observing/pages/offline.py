"""Observing with or without a network: the page that works after one load, and what it keeps and sends."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from datetime import date
from functools import cache
from hashlib import sha256
from pathlib import Path

from flask import Response, current_app, jsonify, render_template, request, url_for
from flask_wtf.csrf import generate_csrf

from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.observing.access import partners_on, stakes_on
from mentor_training.observing.actions.observe import Look, observe
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.pages.offline_data import answer, floor_data, rejection, scope_in_words
from mentor_training.observing.pdf import observe_address
from mentor_training.observing.queries.floor import observed_for
from mentor_training.observing.queries.history import observation_by_key
from mentor_training.observing.queries.kept import kept_floor, stand_downs_of
from mentor_training.observing.rules.paused import unknown_stand_downs
from mentor_training.observing.rules.sent import Sent, read_sent
from mentor_training.observing.tables import Observation
from mentor_training.people.access import db, guarded, instance, me, now, settle, today
from mentor_training.people.permissions import Act
from mentor_training.program.queries import require_edition
from mentor_training.web.display import show_day
from mentor_training.web.protection import WITH_CAMERA

WORKER = "floor/worker.js"
ADDRESS = re.compile(r' (?:href|src)="([^"#?]+)"')


@pages.get("/observe/floor")
@guarded(Act.OBSERVE)
def offline() -> Response:
    """Show the page that a phone keeps: without a name, a token or a day in it, so that it is everybody's.

    It may use the camera, to scan name tags; beside it only the list at the door may.
    """
    answered = Response(_shell())
    answered.headers["Permissions-Policy"] = WITH_CAMERA
    return answered


@pages.get("/observe/floor.json")
@guarded(Act.OBSERVE)
def offline_floor() -> Response:
    """Give what a phone keeps of the floor."""
    kept = kept_floor(db(), me(), today(), now(), partners_on(me().code, [today()]), stakes_on)
    return jsonify(floor_data(kept, me(), now(), instance().settings.zone.key))


@pages.get("/observe/floor/token")
@guarded(Act.OBSERVE)
def offline_token() -> Response:
    """Give a fresh token for sending, since an old page's may be stale, and say whose it is."""
    return jsonify(token=generate_csrf(), observer=me().code)


@pages.get("/observe/floor/worker.js")
@guarded(Act.OBSERVE)
def offline_worker() -> Response:
    """Give the service worker with the list of what it keeps, named by its content: a change of any makes it new."""
    page, names = _shell(), _files(_shell())
    kept = [url_for("observing.offline"), *(url_for("static", filename=name) for name in names)]
    shell = {"version": _version(page, [*names, WORKER]), "kept": kept}
    body = f"const SHELL = {json.dumps(shell)};\n{(_static() / WORKER).read_text(encoding='utf-8')}"
    answered = Response(body, mimetype="text/javascript")
    answered.headers["Service-Worker-Allowed"] = url_for("observing.offline")
    return answered


@pages.post("/observe/floor/send")
@guarded(Act.OBSERVE)
def offline_send() -> tuple[Response, int]:
    """Store one observation from a phone's queue, once whatever the retries, or say why not."""
    sent, faults = read_sent(_body())
    if sent is None:
        return rejection("", faults), 422
    if sent.observer != me().code:
        return jsonify(key=sent.key, status="other-observer", observer=me().code), 409
    now()  # takes this request's turn to write, so that what is found stays as it is found
    earlier = observation_by_key(db(), sent.key)
    try:
        row = _store(sent, is_new=earlier is None)
    except (Refused, NotFound, NotAllowed) as no:
        db().rollback()
        return rejection(sent.key, _reasons(no, sent)), 422
    words = answer(row, require_edition(db(), row.day, row.recorded_at).program.policy)
    settle()
    return jsonify(words), 201 if earlier is None else 200


def _body() -> object:
    """Return what was sent as JSON; nothing where it is none, or nested deeper than it can be read."""
    try:
        return request.get_json(silent=True)
    except RecursionError:
        return None


def _store(sent: Sent, is_new: bool) -> Observation:
    if is_new:
        _must_be_before_me(sent.person, sent.day)
        _refuse_unknown_stand_downs(sent)
    look = Look(
        sent.key, sent.person, sent.skill, sent.day, sent.live, sent.marks, sent.station, sent.participant, sent.remark,
        sent.edition, sent.made_at, sent.clock_seconds(now()),
    )  # fmt: skip
    return observe(db(), now(), today(), me(), look, partners_on(me().code, [sent.day]))


def _must_be_before_me(person: str, day: date) -> None:
    """Ask whether the observer may see the volunteer today, or could on the day on which it was written down."""
    try:
        observed_for(db(), me(), person, today())
    except NotAllowed:
        observed_for(db(), me(), person, min(day, today()))


def _refuse_unknown_stand_downs(sent: Sent) -> None:
    stations = require_edition(db(), sent.day, now()).program.stations
    activities = stations[sent.station].activities if sent.station in stations else ()
    standing = stand_downs_of(db(), sent.person, sent.day, now())
    unknown = unknown_stand_downs(standing, sent.known_at, sent.station, activities, sent.marks.values())
    if unknown:
        raise Refused(
            *(
                f"Stood down from {show_day(fact.first_day)} on, {scope_in_words(fact.item, stations)}; "
                "this was entered after your phone last loaded the floor. "
                "If it was seen all the same, send it again."
                for fact in unknown
            )
        )


def _reasons(no: Refused | NotFound | NotAllowed, sent: Sent) -> tuple[str, ...]:
    if isinstance(no, Refused):
        return no.reasons
    if isinstance(no, NotAllowed):
        return (f"{sent.person} is no volunteer of your sessions; the coordinator can say who may see them.",)
    if no.what.startswith("skill "):
        return (f"The program no longer has this skill ({sent.skill}); it was withdrawn.",)
    return (f"There is no volunteer {sent.person} any more.",)


def _shell() -> str:
    """Render the page as for nobody: whatever it says of a person, its script fills in."""
    nobody = {"me": None, "as_of": None, "navigation": (), "journal_head": "", "made_at": None, "sign_out_address": ""}
    tag_address = observe_address(instance().settings.address, "")
    return render_template(
        "observing/offline.html", tag_address=tag_address, get_flashed_messages=lambda **_more: (), **nobody
    )


def _static() -> Path:
    return Path(current_app.static_folder or "")


def _files(page: str) -> list[str]:
    """Return the files that the page needs: what it names, its typeface, and the scripts that its own one imports."""
    start = url_for("static", filename="")
    named = {address.removeprefix(start) for address in ADDRESS.findall(page) if address.startswith(start)}
    found = [*_static().glob("fonts/*.woff2"), *_static().glob("floor/*.js"), *_static().glob("qr/*.js")]
    return sorted(named | {path.relative_to(_static()).as_posix() for path in found} - {WORKER})


def _version(page: str, names: Iterable[str]) -> str:
    """Return what the content comes to: another as soon as a letter of it is another."""
    parts = [sha256(page.encode()).hexdigest()]
    for name in names:
        path = _static() / name
        parts.append(_hash_of(path, path.stat().st_mtime_ns))
    return sha256("\n".join(parts).encode()).hexdigest()[:16]


@cache
def _hash_of(path: Path, _changed: int) -> str:
    return sha256(path.read_bytes()).hexdigest()
