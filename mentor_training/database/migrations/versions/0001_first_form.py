"""The first form of the database: every table, and triggers on what must never be rewritten."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import JsonText, UtcDateTime, WordList
from mentor_training.database.guards import refuse_changes

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPEND_ONLY = {
    "journal_entry": ("number",),
    "record": ("number", "code"),
    "edition": ("number",),
    "edition_file": ("edition, path",),
    "statement": ("number",),
    "statement_line": ("entry",),
    "certificate": ("number", "verification_code"),
    "revocation": ("certificate",),
    "closing": ("session",),
}


def upgrade() -> None:
    """Make every table and its guard."""
    op.create_table(
        "edition",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("effective", sa.Date(), nullable=False),
        sa.Column("published_at", UtcDateTime(), nullable=False),
        sa.Column("published_by", sa.String(length=80), nullable=False),
        sa.Column("from_start", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_edition")),
    )
    op.create_table(
        "journal_entry",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("subject", sa.String(length=80), nullable=False),
        sa.Column("record", sa.Text(), nullable=False),
        sa.Column("previous", sa.String(length=80), nullable=False),
        sa.Column("hash", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_journal_entry")),
    )
    op.create_index(op.f("ix_journal_entry_kind"), "journal_entry", ["kind"], unique=False)
    op.create_index(op.f("ix_journal_entry_subject"), "journal_entry", ["subject"], unique=False)
    op.create_table(
        "participant",
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("first_name", sa.String(length=100), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_participant")),
    )
    op.create_table(
        "person",
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=False),
        sa.Column("roles", WordList(), nullable=False),
        sa.Column("sections", WordList(), nullable=False),
        sa.Column("conflicts", WordList(), nullable=False),
        sa.Column("extra_time_percent", sa.Integer(), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=True),
        sa.Column("invitation_hash", sa.String(length=64), nullable=True),
        sa.Column("invitation_until", UtcDateTime(), nullable=True),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("from_start", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_person")),
        sa.UniqueConstraint("email", name=op.f("uq_person_email")),
    )
    op.create_index(op.f("ix_person_invitation_hash"), "person", ["invitation_hash"], unique=False)
    op.create_table(
        "sent_form",
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.Column("location", sa.String(length=2000), nullable=False),
        sa.PrimaryKeyConstraint("token", name=op.f("pk_sent_form")),
    )
    op.create_table(
        "session",
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("starts", sa.Time(), nullable=False),
        sa.Column("ends", sa.Time(), nullable=False),
        sa.Column("stations", WordList(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_session")),
    )
    op.create_index(op.f("ix_session_day"), "session", ["day"], unique=False)
    op.create_table(
        "sign_in_try",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("email", sa.String(length=260), nullable=False),
        sa.Column("client", sa.String(length=64), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.Column("succeeded", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_try")),
    )
    op.create_index("ix_sign_in_try_email_moment", "sign_in_try", ["email", "moment"], unique=False)
    op.create_table(
        "statement",
        sa.Column("number", sa.String(length=80), nullable=False),
        sa.Column("section", sa.String(length=80), nullable=False),
        sa.Column("course", sa.String(length=80), nullable=False),
        sa.Column("made_at", UtcDateTime(), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("through", sa.Date(), nullable=False),
        sa.Column("rule", sa.String(length=300), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("journal_head", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_statement")),
    )
    op.create_table(
        "attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("quiz", sa.String(length=80), nullable=False),
        sa.Column("module", sa.String(length=80), nullable=False),
        sa.Column("module_edition", sa.Integer(), nullable=False),
        sa.Column("program_edition", sa.Integer(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("scenarios", WordList(), nullable=False),
        sa.Column("started_at", UtcDateTime(), nullable=False),
        sa.Column("closed_at", UtcDateTime(), nullable=True),
        sa.Column("score", sa.Double(), nullable=True),
        sa.Column("passed", sa.Boolean(), nullable=True),
        sa.Column("unsafe", WordList(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_attempt_person_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempt")),
    )
    op.create_index("ix_attempt_person_quiz", "attempt", ["person", "quiz"], unique=False)
    op.create_table(
        "attendance",
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("came_at", UtcDateTime(), nullable=False),
        sa.Column("left_at", UtcDateTime(), nullable=True),
        sa.Column("checked_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_attendance_session_session")),
        sa.PrimaryKeyConstraint("session", "kind", "code", name=op.f("pk_attendance")),
    )
    op.create_table(
        "block",
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("starts", sa.Time(), nullable=False),
        sa.Column("ends", sa.Time(), nullable=False),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_block_session_session")),
        sa.PrimaryKeyConstraint("session", "number", name=op.f("pk_block")),
    )
    op.create_table(
        "card",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("participant", sa.String(length=80), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("review_by", sa.Date(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.Column("from_start", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["participant"], ["participant.code"], name=op.f("fk_card_participant_participant")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_card")),
        sa.UniqueConstraint("participant", "version", name=op.f("uq_card_participant")),
    )
    op.create_index(op.f("ix_card_participant"), "card", ["participant"], unique=False)
    op.create_table(
        "card_handed",
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("participant", sa.String(length=80), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("handed_at", UtcDateTime(), nullable=False),
        sa.Column("handed_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["participant"], ["participant.code"], name=op.f("fk_card_handed_participant_participant")
        ),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_card_handed_person_person")),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_card_handed_session_session")),
        sa.PrimaryKeyConstraint("session", "participant", "person", name=op.f("pk_card_handed")),
    )
    op.create_table(
        "caution_acknowledged",
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("module", sa.String(length=80), nullable=False),
        sa.Column("edition", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("caution", sa.String(length=80), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_caution_acknowledged_person_person")),
        sa.PrimaryKeyConstraint("person", "module", "edition", "caution", name=op.f("pk_caution_acknowledged")),
    )
    op.create_table(
        "certificate",
        sa.Column("number", sa.String(length=80), nullable=False),
        sa.Column("verification_code", sa.String(length=40), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("program_edition", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("issued_at", UtcDateTime(), nullable=False),
        sa.Column("issued_by", sa.String(length=80), nullable=False),
        sa.Column("content", JsonText(), nullable=False),
        sa.Column("journal_head", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_certificate_person_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_certificate")),
        sa.UniqueConstraint("verification_code", name=op.f("uq_certificate_verification_code")),
    )
    op.create_index(op.f("ix_certificate_person"), "certificate", ["person"], unique=False)
    op.create_table(
        "closing",
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("closed_at", UtcDateTime(), nullable=False),
        sa.Column("closed_by", sa.String(length=80), nullable=False),
        sa.Column("floor", JsonText(), nullable=False),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_closing_session_session")),
        sa.PrimaryKeyConstraint("session", name=op.f("pk_closing")),
    )
    op.create_table(
        "edition_file",
        sa.Column("edition", sa.Integer(), nullable=False),
        sa.Column("path", sa.String(length=400), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["edition"], ["edition.number"], name=op.f("fk_edition_file_edition_edition")),
        sa.PrimaryKeyConstraint("edition", "path", name=op.f("pk_edition_file")),
    )
    op.create_table(
        "expected",
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_expected_session_session")),
        sa.PrimaryKeyConstraint("session", "kind", "code", name=op.f("pk_expected")),
    )
    op.create_table(
        "hours_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("category", sa.String(length=80), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("started_at", UtcDateTime(), nullable=True),
        sa.Column("ended_at", UtcDateTime(), nullable=True),
        sa.Column("source", sa.String(length=80), nullable=False),
        sa.Column("about", sa.String(length=80), nullable=False),
        sa.Column("flag", sa.String(length=300), nullable=False),
        sa.Column("reason", sa.String(length=500), nullable=False),
        sa.Column("corrects", sa.Integer(), nullable=True),
        sa.Column("entered_by", sa.String(length=80), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["corrects"], ["hours_entry.id"], name=op.f("fk_hours_entry_corrects_hours_entry")),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_hours_entry_person_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hours_entry")),
    )
    op.create_index("ix_hours_entry_person_day", "hours_entry", ["person", "day"], unique=False)
    op.create_table(
        "observer_standing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("observer", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("skill", sa.String(length=80), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=True),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["observer"], ["person.code"], name=op.f("fk_observer_standing_observer_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observer_standing")),
    )
    op.create_index(op.f("ix_observer_standing_observer"), "observer_standing", ["observer"], unique=False)
    op.create_table(
        "participant_profile",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("participant", sa.String(length=80), nullable=False),
        sa.Column("adaptation_level", sa.Integer(), nullable=False),
        sa.Column("needs", WordList(), nullable=False),
        sa.Column("keep_apart", WordList(), nullable=False),
        sa.Column("wishes", WordList(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=True),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.Column("from_start", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["participant"], ["participant.code"], name=op.f("fk_participant_profile_participant_participant")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_participant_profile")),
    )
    op.create_index(op.f("ix_participant_profile_participant"), "participant_profile", ["participant"], unique=False)
    op.create_table(
        "placement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("block", sa.Integer(), nullable=False),
        sa.Column("station", sa.String(length=80), nullable=False),
        sa.Column("mentor", sa.String(length=80), nullable=False),
        sa.Column("role", sa.String(length=80), nullable=False),
        sa.Column("participant", sa.String(length=80), nullable=True),
        sa.Column("level", sa.Integer(), nullable=False),
        sa.Column("placed_at", UtcDateTime(), nullable=False),
        sa.Column("placed_by", sa.String(length=80), nullable=False),
        sa.CheckConstraint("(role = 'mentor') = (participant IS NOT NULL)", name=op.f("ck_placement_mentor_of_one")),
        sa.CheckConstraint("level >= 1", name=op.f("ck_placement_cleared")),
        sa.ForeignKeyConstraint(["mentor"], ["person.code"], name=op.f("fk_placement_mentor_person")),
        sa.ForeignKeyConstraint(
            ["participant"], ["participant.code"], name=op.f("fk_placement_participant_participant")
        ),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_placement_session_session")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_placement")),
        sa.UniqueConstraint("session", "block", "mentor", name=op.f("uq_placement_session")),
    )
    op.create_index("ix_placement_session_block", "placement", ["session", "block"], unique=False)
    op.create_table(
        "record",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("item", sa.String(length=80), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=True),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.Column("refers_to", sa.String(length=80), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_record_person_person")),
        sa.ForeignKeyConstraint(["refers_to"], ["record.code"], name=op.f("fk_record_refers_to_record")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_record")),
        sa.UniqueConstraint("code", name=op.f("uq_record_code")),
    )
    op.create_index(op.f("ix_record_item"), "record", ["item"], unique=False)
    op.create_index(op.f("ix_record_kind"), "record", ["kind"], unique=False)
    op.create_index(op.f("ix_record_person"), "record", ["person"], unique=False)
    op.create_index(op.f("ix_record_recorded_at"), "record", ["recorded_at"], unique=False)
    op.create_table(
        "section_read",
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("module", sa.String(length=80), nullable=False),
        sa.Column("edition", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("section", sa.String(length=80), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_section_read_person_person")),
        sa.PrimaryKeyConstraint("person", "module", "edition", "section", name=op.f("pk_section_read")),
    )
    op.create_table(
        "talk",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("quiz", sa.String(length=80), nullable=False),
        sa.Column("held_by", sa.String(length=80), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_talk_person_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_talk")),
    )
    op.create_table(
        "answer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.Column("scenario", sa.String(length=80), nullable=False),
        sa.Column("answer", JsonText(), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.Column("score", sa.Double(), nullable=True),
        sa.Column("unsafe", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["attempt"], ["attempt.id"], name=op.f("fk_answer_attempt_attempt")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answer")),
        sa.UniqueConstraint("attempt", "scenario", name=op.f("uq_answer_attempt")),
    )
    op.create_table(
        "hours_approval",
        sa.Column("entry", sa.Integer(), nullable=False),
        sa.Column("approved_by", sa.String(length=80), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.Column("record", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["entry"], ["hours_entry.id"], name=op.f("fk_hours_approval_entry_hours_entry")),
        sa.ForeignKeyConstraint(["record"], ["record.code"], name=op.f("fk_hours_approval_record_record")),
        sa.PrimaryKeyConstraint("entry", name=op.f("pk_hours_approval")),
    )
    op.create_table(
        "observation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("skill", sa.String(length=80), nullable=False),
        sa.Column("observer", sa.String(length=80), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("station", sa.String(length=80), nullable=False),
        sa.Column("participant", sa.String(length=80), nullable=False),
        sa.Column("live", sa.Boolean(), nullable=False),
        sa.Column("program_edition", sa.Integer(), nullable=False),
        sa.Column("result", sa.String(length=80), nullable=False),
        sa.Column("not_counted", sa.String(length=200), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("record", sa.String(length=80), nullable=True),
        sa.ForeignKeyConstraint(["observer"], ["person.code"], name=op.f("fk_observation_observer_person")),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_observation_person_person")),
        sa.ForeignKeyConstraint(["record"], ["record.code"], name=op.f("fk_observation_record_record")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observation")),
        sa.UniqueConstraint("key", name=op.f("uq_observation_key")),
    )
    op.create_index("ix_observation_person_skill", "observation", ["person", "skill"], unique=False)
    op.create_table(
        "paper_on_file",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("paper", sa.String(length=80), nullable=False),
        sa.Column("issued", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=True),
        sa.Column("put_at", UtcDateTime(), nullable=False),
        sa.Column("put_by", sa.String(length=80), nullable=False),
        sa.Column("verified_at", UtcDateTime(), nullable=True),
        sa.Column("verified_by", sa.String(length=80), nullable=False),
        sa.Column("declined_at", UtcDateTime(), nullable=True),
        sa.Column("declined_because", sa.String(length=500), nullable=False),
        sa.Column("record", sa.String(length=80), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_paper_on_file_person_person")),
        sa.ForeignKeyConstraint(["record"], ["record.code"], name=op.f("fk_paper_on_file_record_record")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper_on_file")),
    )
    op.create_index(op.f("ix_paper_on_file_person"), "paper_on_file", ["person"], unique=False)
    op.create_table(
        "revocation",
        sa.Column("certificate", sa.String(length=80), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.Column("revoked_by", sa.String(length=80), nullable=False),
        sa.Column("reason", sa.String(length=500), nullable=False),
        sa.ForeignKeyConstraint(
            ["certificate"], ["certificate.number"], name=op.f("fk_revocation_certificate_certificate")
        ),
        sa.PrimaryKeyConstraint("certificate", name=op.f("pk_revocation")),
    )
    op.create_table(
        "sign_off",
        sa.Column("record", sa.String(length=80), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("skill", sa.String(length=80), nullable=False),
        sa.Column("observer", sa.String(length=80), nullable=False),
        sa.Column("observations", WordList(), nullable=False),
        sa.Column("statement", sa.Text(), nullable=False),
        sa.Column("moment", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["observer"], ["person.code"], name=op.f("fk_sign_off_observer_person")),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_sign_off_person_person")),
        sa.ForeignKeyConstraint(["record"], ["record.code"], name=op.f("fk_sign_off_record_record")),
        sa.PrimaryKeyConstraint("record", name=op.f("pk_sign_off")),
    )
    op.create_table(
        "statement_line",
        sa.Column("entry", sa.Integer(), nullable=False),
        sa.Column("statement", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["entry"], ["hours_entry.id"], name=op.f("fk_statement_line_entry_hours_entry")),
        sa.ForeignKeyConstraint(
            ["statement"], ["statement.number"], name=op.f("fk_statement_line_statement_statement")
        ),
        sa.PrimaryKeyConstraint("entry", name=op.f("pk_statement_line")),
    )
    op.create_index(op.f("ix_statement_line_statement"), "statement_line", ["statement"], unique=False)
    op.create_table(
        "mark",
        sa.Column("observation", sa.Integer(), nullable=False),
        sa.Column("criterion", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("mark", sa.String(length=80), nullable=False),
        sa.Column("way", sa.String(length=300), nullable=False),
        sa.ForeignKeyConstraint(["observation"], ["observation.id"], name=op.f("fk_mark_observation_observation")),
        sa.PrimaryKeyConstraint("observation", "criterion", name=op.f("pk_mark")),
    )
    op.create_table(
        "review",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("skill", sa.String(length=80), nullable=False),
        sa.Column("observation", sa.Integer(), nullable=False),
        sa.Column("opened_at", UtcDateTime(), nullable=False),
        sa.Column("closed_at", UtcDateTime(), nullable=True),
        sa.Column("closed_by", sa.String(length=80), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["observation"], ["observation.id"], name=op.f("fk_review_observation_observation")),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_review_person_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_review")),
    )
    for table, keys in APPEND_ONLY.items():
        refuse_changes(table, keys)
