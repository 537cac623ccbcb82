"""Reading the text of a file that a form brought along."""

from __future__ import annotations

from flask import request

from mentor_training.errors import Refused


def uploaded_text(name: str) -> str:
    """Return the text of the file in a form's field; refused where no file was chosen, or it is not UTF-8."""
    upload = request.files.get(name)
    if not upload:
        raise Refused("No file was chosen; choose one, and then send it.")
    try:
        text: str = upload.read().decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refused(f"The file is not UTF-8 (byte {error.start}); save it as CSV UTF-8 and send it again.") from None
    return text
