"""The scans' folder of the instance that is served, and the sweep that follows an act."""

from __future__ import annotations

from flask import current_app
from sqlalchemy.exc import SQLAlchemyError

from mentor_training.journal.queries import newest_moment
from mentor_training.papers.actions.scans import sweep
from mentor_training.papers.scans.folder import ScanFolder, folder_of
from mentor_training.people.access import instance, me


def scan_folder() -> ScanFolder:
    """Return where this instance's scans lie."""
    return folder_of(instance().settings)


def sweep_scans() -> None:
    """Delete what is due after an act was committed, in a transaction of its own.

    Deleting before that would lose a scan whose verification was rolled back. Where it does not come to it, the act
    stands all the same, and the next sweep finds what is left.
    """
    opened = instance()
    try:
        with opened.database.writing() as db:
            at = max(opened.now(), newest_moment(db) or opened.now())
            swept = sweep(db, at, opened.settings.zone, me(), scan_folder())
    except SQLAlchemyError:
        current_app.logger.exception("scans were not swept; the next sweep does it")
        return
    for what in swept.failed:
        current_app.logger.error("%s could not be deleted; the next sweep tries again", what)
