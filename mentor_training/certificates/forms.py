"""The forms about certificates."""

from __future__ import annotations

from flask_wtf import FlaskForm
from wtforms import StringField, TextAreaField
from wtforms.validators import InputRequired, Length


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


class VerifyForm(FlaskForm):
    """Number and code as they stand on a certificate. Sent by GET: it asks and changes nothing, and needs no cookie."""

    class Meta:
        csrf = False

    number = StringField("Number", [InputRequired("Write the number, such as C-2026-0001."), Length(max=80)])
    code = StringField("Code", [InputRequired("Write the code below the number."), Length(max=80)])
