"""The forms about certificates."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import BooleanField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from mentor_training.certificates.class_files import Wanted
from mentor_training.web.forms import options
from mentor_training.web.paper_size import SIZES


class RevokeForm(FlaskForm):
    """Why a certificate is revoked."""

    reason = TextAreaField(
        "Reason", [InputRequired("Write the reason; it stays with the certificate."), Length(max=500)]
    )


class ReissueForm(FlaskForm):
    """Why a certificate is issued anew under another number."""

    reason = TextAreaField(
        "Reason", [InputRequired("Write the reason; it stays with the certificate that is revoked."), Length(max=500)]
    )


class FilesForm(FlaskForm):
    """Which certificates are wanted as files; sections and kinds are those that whoever asks has."""

    section = SelectField("Section")
    kind = SelectField("Certificate")
    size = SelectField("Paper", choices=options(SIZES.items()))
    archival = BooleanField("To be kept for long, with the signed credential in each (PDF/A-3)")

    @property
    def wanted(self) -> Wanted:
        """Return what was asked for."""
        return Wanted(self.section.data or "", self.kind.data or "", self.size.data, self.archival.data)


class VerifyForm(FlaskForm):
    """Number and code as they stand on a certificate. Sent by GET: it asks and changes nothing, and needs no cookie."""

    class Meta:
        csrf = False

    number = StringField("Number", [InputRequired("Write the number, such as C-2026-0001."), Length(max=80)])
    code = StringField("Code", [InputRequired("Write the code below the number."), Length(max=80)])
