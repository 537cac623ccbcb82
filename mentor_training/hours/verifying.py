"""Holding a file that came back against the statement that it claims to be: CSV, workbook or PDF."""

from __future__ import annotations

from datetime import tzinfo

from sqlalchemy.orm import Session

from mentor_training.hours.checking import Checked, check_csv
from mentor_training.web.pdf_pages import PDF_START


def check_file(db: Session, content: bytes, program: str, zone: tzinfo) -> Checked:
    """Hold a file against what was frozen under the number that it names, and say all that does not match.

    NotFound for a number that was never given; Refused for what is no statement of hours. `program` and `zone` are what
    the program is called, and its time zone, for statements that were made before they were kept with them.
    """
    # The libraries that read workbooks and print pages take their time to import.
    if content.startswith(b"PK"):
        from mentor_training.hours.checking_book import check_workbook

        return check_workbook(db, content, zone)
    if content.startswith(PDF_START):
        from mentor_training.hours.checking_pdf import check_pdf

        return check_pdf(db, content, program, zone)
    return check_csv(db, content)
