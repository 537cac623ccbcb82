"""The web application: a table of contents of small named steps. Nothing happens at import time."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from flask import Flask, request, url_for
from flask_wtf import CSRFProtect
from werkzeug.middleware.proxy_fix import ProxyFix

from mentor_training.certificates.class_files import KIND as CLASS_FILES
from mentor_training.certificates.class_files import make_files
from mentor_training.certificates.class_issue import KIND as CLASS_CERTIFICATES
from mentor_training.certificates.class_issue import issue_to_class
from mentor_training.certificates.pages import blueprint as certificates_pages
from mentor_training.certificates.pages import (  # noqa: F401 - they hang views on the blueprint
    class_files,
    class_issuing,
    issuing,
    own,
    publishing,
    verifying,
)
from mentor_training.clearance.pages import asking, board, comparing, correcting, lapsing, looking  # noqa: F401 - as above
from mentor_training.clearance.pages import blueprint as clearance_pages
from mentor_training.clearance.pages import station_cards as clearance_station_cards  # noqa: F401 - as above
from mentor_training.database.instance import Instance
from mentor_training.hours.actions import enter_own_training
from mentor_training.hours.pages import blueprint as hours_pages
from mentor_training.hours.pages import own as own_hours  # noqa: F401 - as above
from mentor_training.hours.pages import sections, statements, toward  # noqa: F401 - as above
from mentor_training.jobs.work import Kind
from mentor_training.journal.queries import head
from mentor_training.learning.pages import blueprint as learning_pages
from mentor_training.learning.pages import items, pass_marks, quizzes, reading, results, retakes, talks  # noqa: F401 - as above
from mentor_training.letters.note_sending import KIND as MIDTERM_NOTES
from mentor_training.letters.note_sending import send_notes
from mentor_training.letters.pages import addresses as letters_addresses  # noqa: F401 - as above
from mentor_training.letters.pages import blueprint as letters_pages
from mentor_training.letters.pages import hours as letters_of_hours  # noqa: F401 - as above
from mentor_training.letters.pages import midterm as letters_midterm  # noqa: F401 - as above
from mentor_training.letters.queries.written import verify_letter
from mentor_training.observing.access import set_partners, set_stakes
from mentor_training.observing.pages import agreeing as observing_agreeing  # noqa: F401 - as above
from mentor_training.observing.pages import blueprint as observing_pages
from mentor_training.observing.pages import calibrations as observing_calibrations  # noqa: F401 - as above
from mentor_training.observing.pages import floor, keeping, recording, signing, striking, withdrawing  # noqa: F401 - as above
from mentor_training.observing.pages import offline as observing_offline  # noqa: F401 - as above
from mentor_training.observing.pages import prints as observing_prints  # noqa: F401 - as above
from mentor_training.observing.pages import retiring as observing_retiring  # noqa: F401 - as above
from mentor_training.observing.pages import scoring as observing_scoring  # noqa: F401 - as above
from mentor_training.observing.pages import sheets as observing_sheets  # noqa: F401 - as above
from mentor_training.overview.pages import blueprint as overview_pages
from mentor_training.overview.pages import ending, my_path, today, way_in  # noqa: F401 - as above
from mentor_training.overview.pages import incidents as incidents_pages
from mentor_training.overview.pages import jobs as jobs_pages
from mentor_training.overview.pages import journal as journal_pages
from mentor_training.overview.pages import reviews as reviews_pages
from mentor_training.overview.pages import then as then_pages
from mentor_training.overview.queries.stakes import stakes_on_floor
from mentor_training.papers.pages import blueprint as papers_pages
from mentor_training.papers.pages import deciding, filing, scans  # noqa: F401 - as above
from mentor_training.participants import pages as participants_pages
from mentor_training.people import pages as people_pages
from mentor_training.people.access import before_commit, db, instance, maybe_me, now, once_token, set_up_access
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.looking import find_plan
from mentor_training.planning.pages import attending, availability, covering, day, mine, terms  # noqa: F401 - as above
from mentor_training.planning.pages import blueprint as planning_pages
from mentor_training.planning.pages import calendars as planning_calendars  # noqa: F401 - as above
from mentor_training.planning.pages import changing as planning_changing  # noqa: F401 - as above
from mentor_training.planning.pages import closing_stations as planning_closing_stations  # noqa: F401 - as above
from mentor_training.planning.pages import correcting as planning_correcting  # noqa: F401 - as above
from mentor_training.planning.pages import coverage as planning_coverage  # noqa: F401 - as above
from mentor_training.planning.pages import door as planning_door  # noqa: F401 - as above
from mentor_training.planning.pages import floor as planning_floor  # noqa: F401 - as above
from mentor_training.planning.pages import printing as planning_printing  # noqa: F401 - as above
from mentor_training.planning.pages import proposing as planning_proposing  # noqa: F401 - as above
from mentor_training.planning.pages import repairing as planning_repairing  # noqa: F401 - as above
from mentor_training.planning.pages import running as planning_running  # noqa: F401 - as above
from mentor_training.planning.pages import series as planning_series  # noqa: F401 - as above
from mentor_training.planning.pages import sessions as planning_sessions  # noqa: F401 - as above
from mentor_training.planning.pages import shadowing as planning_shadowing  # noqa: F401 - as above
from mentor_training.planning.pages import suggesting as planning_suggesting  # noqa: F401 - as above
from mentor_training.planning.queries.partners import partners_of
from mentor_training.planning.queries.proposals import KIND as BEST_PLAN
from mentor_training.program.pages import blueprint as program_pages
from mentor_training.program.pages import editing as program_editing  # noqa: F401 - as above
from mentor_training.program.pages import looking as program_looking  # noqa: F401 - as above
from mentor_training.program.pages import publishing as program_publishing  # noqa: F401 - as above
from mentor_training.register.pages import pages as register_blueprint
from mentor_training.roster.pages import pages as roster_blueprint
from mentor_training.web.addresses import bound_addresses
from mentor_training.web.as_of import carry_as_of, current_as_of
from mentor_training.web.display import register_display
from mentor_training.web.error_pages import register_error_pages
from mentor_training.web.navigation import Place, navigation_for
from mentor_training.web.protection import protect

# More than the largest scan, so that one a little too large is answered beside its field and not by a bare page.
LARGEST_UPLOAD = 24 * 1024 * 1024

PLACES = (
    Place("Today", "overview.today", Act.CHECK_IN),
    Place("My path", "overview.my_path", Act.SEE_OWN_PATH),
    Place("Observe", "observing.today", Act.SEE_OBSERVATIONS),
    Place("Clearance", "clearance.board", Act.SEE_CLEARANCE),
    Place("Sessions", "planning.listing", Act.SEE_SESSIONS),
    Place("Hours", "hours.own", Act.SEE_OWN_HOURS),
    Place("Hours", "hours.sections", Act.SEE_SECTION_HOURS),
    Place("Program", "program.overview", Act.SEE_PROGRAM),
    Place("Journal", "journal.listing", Act.SEE_JOURNAL),
)


def in_section(asked: Mapping[str, Any]) -> str:
    """Say of which section a job is, where it is of one."""
    return f" in section {asked['section']}" if asked.get("section") else ""


# What can be done in the background.
KINDS = {
    BEST_PLAN: Kind(
        find_plan,
        lambda asked: f"Looking for the best plan of session {asked['session']}",
        lambda number, asked: ("planning.proposal", {"code": asked["session"], "job": number}),
        "{done} s of at most {total} s",
        "the best so far",
    ),
    CLASS_CERTIFICATES: Kind(
        issue_to_class,
        lambda asked: f"Issuing {asked['kind']} to everybody who is ready{in_section(asked)}",
        lambda number, _asked: ("certificates.class_done", {"number": number}),
    ),
    CLASS_FILES: Kind(
        make_files,
        lambda asked: f"Writing the files of {asked['kind'] or 'all'} certificates{in_section(asked)}",
        lambda number, _asked: ("certificates.files_made", {"number": number}),
    ),
    MIDTERM_NOTES: Kind(
        send_notes,
        lambda asked: f"Sending the mid-term notes of {asked['section']}",
        lambda _number, asked: ("letters.midterm_section", {"code": asked["section"]}),
    ),
}


def create_app(opened: Instance, testing: bool = False) -> Flask:
    """Make the application that serves one instance."""
    app = Flask("mentor_training.web")
    bound_addresses(app)
    configure(app, opened, testing)
    CSRFProtect(app)
    set_up_access(app, opened)
    register_display(app, opened.settings.zone)
    protect(app)
    carry_as_of(app)
    register_error_pages(app)
    register_pages(app)
    set_partners(app, partners_of)
    set_stakes(app, stakes_on_floor)
    verifying.set_letters(app, verify_letter)
    jobs_pages.set_kinds(app, KINDS)
    before_commit(app, lambda db, at, by: enter_own_training(db, at, by, opened.settings.zone))
    app.context_processor(for_every_template)
    return app


def configure(app: Flask, opened: Instance, testing: bool) -> None:
    """Set what the framework and the sign-in library ask for."""
    if not opened.settings.secret_key:
        raise RuntimeError(f"{opened.settings.folder / 'keys' / 'secret-key'} is missing; `start` makes it")
    app.config.update(
        SECRET_KEY=opened.settings.secret_key,
        TESTING=testing,
        MAX_CONTENT_LENGTH=LARGEST_UPLOAD,
        PERMANENT_SESSION_LIFETIME=timedelta(minutes=opened.settings.idle_minutes),
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=opened.settings.address.startswith("https://"),
        WTF_CSRF_TIME_LIMIT=None,
        PAPER=opened.settings.paper,
    )
    if opened.settings.proxies:
        # Who asks is whom the outermost trusted proxy has seen; what was written before that anybody may write.
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=opened.settings.proxies, x_proto=0, x_host=0)  # type: ignore[method-assign]


def register_pages(app: Flask) -> None:
    """Hang every capability's pages into the application."""
    for pages in (
        overview_pages.pages,
        journal_pages.pages,
        then_pages.pages,
        reviews_pages.pages,
        incidents_pages.pages,
        jobs_pages.pages,
        clearance_pages.pages,
        people_pages.pages,
        program_pages.pages,
        participants_pages.pages,
        learning_pages.pages,
        observing_pages.pages,
        planning_pages.pages,
        papers_pages.pages,
        hours_pages.pages,
        certificates_pages.pages,
        letters_pages.pages,
        register_blueprint,
        roster_blueprint,
    ):
        app.register_blueprint(pages)


def for_every_template() -> dict[str, Any]:
    """Give every template who is signed in, where they can go, and which day is looked at."""
    me, settings = maybe_me(), instance().settings
    places = navigation_for(PLACES, lambda act: bool(me and me.may(Act(act))), url_for, request.endpoint)
    return {
        "me": me,
        "navigation": places,
        "as_of": current_as_of(now(), settings.zone),
        "program_name": settings.title,
        "demo": settings.demo,
        "made_at": now(),
        "journal_head": head(db()) if me else "",
        "once_token": once_token,
        "sign_out_address": url_for("people.sign_out"),
    }
