"""Keys that expire, whose rules are bound, and publishable keys, bound to pages and to one price book.

Only adds, so the version of the service before it goes on working beside it: the keys it makes are secret ones,
and have none of this.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import ARRAY

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

# A publishable key that a way back has revoked has no pages any more, hence the first words.
CHECKS = {
    "api_key_publishable_bound_ck": "revoked_at is not null or case kind when 'secret' then cardinality(origins) = 0 "
    "else cardinality(origins) > 0 and price_book_id is not null end",
    "api_key_rules_bound_used_ck": "cardinality(rules_bound) = 0 or scopes && array['rules:write', 'rules:publish']",
}
COLUMNS = ("expires_at", "rules_bound", "origins")


def upgrade() -> None:
    """Add the columns, which every key that is there has none of."""
    op.add_column("api_key", sa.Column("expires_at", sa.DateTime(timezone=True)))
    for name in COLUMNS[1:]:
        op.add_column("api_key", sa.Column(name, ARRAY(sa.Text), nullable=False, server_default="{}"))
    for name, condition in CHECKS.items():
        op.create_check_constraint(op.f(name), "api_key", condition)


def downgrade() -> None:
    """Remove the columns; keys that they bound are revoked, since nothing would hold them any more."""
    # the count of changes is due at the end otherwise, and no table can be altered before that
    op.execute("set constraints all immediate")
    op.execute(
        "update public.api_key set revoked_at = coalesce(revoked_at, now()) "
        "where kind = 'publishable' or expires_at is not null or cardinality(rules_bound) > 0"
    )
    for name in CHECKS:
        op.drop_constraint(op.f(name), "api_key")
    for name in COLUMNS:
        op.drop_column("api_key", name)
