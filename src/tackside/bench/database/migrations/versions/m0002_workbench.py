"""For the workbench: what was put away, jobs in the background, and indexes that lists are read from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "shelving",
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("archived", sa.Boolean(), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.String(40), nullable=False),
    )
    op.create_index("ix_shelving_kind_name", "shelving", ["kind", "name", "seq"])
    op.create_table(
        "job",
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("subject", sa.String(80), nullable=True),
        sa.Column("asked", sa.JSON(), nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
        sa.Column("said", sa.String(400), nullable=False),
        sa.Column("result", sa.JSON(), nullable=True),
        sa.Column("what", sa.Text(), nullable=True),
        sa.Column("mend", sa.Text(), nullable=True),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("keeper", sa.String(40), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("beat_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.String(40), nullable=False),
        sa.UniqueConstraint("id", name="uq_job_id"),
    )
    op.create_index("ix_job_state_seq", "job", ["state", "seq"])
    op.create_index("ix_job_subject_seq", "job", ["subject", "kind", "seq"])
    # Lists are read from these alone: the rows themselves hold whole sheets and readings.
    op.create_index("ix_trial_listing", "trial", ["id", "stock", "printer", "side", "made_at", "seq"])
    op.create_index("ix_verdict_listing", "verdict", ["trial", "seq", "grade", "cause"])
    op.create_index("ix_settings_listing", "settings", ["trial", "revision", "media_setting"])
