"""A database with at least one row in every table: what goes through pages, and the rest as SQL."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from hashlib import sha256
from pathlib import Path

from domain.lengths import Length
from domain.spec.catalogue import Plug
from tests.factories import sending
from tests.webapp.store.store_samples import joint, project, quote_head, revision_head, section
from webapp.store import Store, catalogue, projects, quotes, revisions, tokens

STOCK = """
INSERT INTO item VALUES (1, 'key', '14', 16000000, '', NULL, NULL, 'key 14 × 16', 50, 1);
INSERT INTO supplier VALUES (1, 'North', 'EUR', 690, 2500, 1);
INSERT INTO offer VALUES (1, 1, 1, 100, 'K14-16/100', 5, 0, 1);
INSERT INTO offer_price VALUES (1, 1, '2026-03-02', 1290, 'EUR', '2026-03-02T08:30:00.000000Z');
INSERT INTO placed_order VALUES (1, 1, 1, 'North', 'EUR', 690, '', '2026-03-02T08:30:00.000000Z');
INSERT INTO order_line VALUES (1, 1, 1, 1, 100, 2, 1290, 'K14-16/100', 5, '2026-03-07');
INSERT INTO order_project VALUES (1, 1, 'Window seat');
INSERT INTO order_end VALUES (1, '2026-03-02T08:30:00.000000Z');
INSERT INTO movement VALUES (1, 1, 'received', 100, 0, 0, NULL, 1, NULL, '', '2026-03-02T08:30:00.000000Z');
"""

MACHINE = """
INSERT INTO trial VALUES (1, '14', 'close', 13815000, 'oak', 20000000, 6100000, 16500000, 12000000, 'loose',
    200000, NULL, '2026-03-02', '2026-03-02T08:30:00.000000Z');
INSERT INTO trial_withdrawn VALUES (1, 'misread', '2026-03-02T08:30:00.000000Z');
INSERT INTO accepted_start VALUES (1, '14', 'close', 'oak', 6200000, 6300000, 13815000, '2026-03-02',
    '2026-03-02T08:30:00.000000Z');
INSERT INTO start_trial VALUES (1, 0, 1);
INSERT INTO start_ended VALUES (1, '2026-03-02T08:30:00.000000Z');
INSERT INTO moulding VALUES (1, 'No. 7', '2026-03-02', '{}');
INSERT INTO calibration VALUES (1, 'depth', '14', 'close', 16500000, 16800000, '2026-03-02',
    '2026-03-02T08:30:00.000000Z');
INSERT INTO tick VALUES (1, '0b9f7d34-0000-4000-8000-000000000001', 1, 'set-up', 'piece', 1,
    '2026-03-02T08:30:00.000000Z', '2026-03-02T08:30:00.000000Z');
"""

DEVICE = f"""
INSERT INTO device VALUES (1, 'Tablet at the bench', 'at_the_machine', '{"ab" * 32}',
    '2026-03-02T08:30:00.000000Z', '2026-03-02T08:30:00.000000Z', NULL);
"""

PHOTOGRAPH = f"""
INSERT INTO photograph VALUES (1, 1, 'A-J1', 'The corner, open', '2026-03-02T08:30:00.000000Z', 4, 3,
    '{sha256(bytes.fromhex("ffd8ff")).hexdigest()}', x'ffd8ff', x'ffd8ff');
"""


PATTERN = """
INSERT INTO pattern VALUES (1, 'Tray', 'assembly', '{}', 'Window seat', '2026-03-02T08:30:00.000000Z', 1);
"""


PAST = """
INSERT INTO edit VALUES (1, '2026-03-02T08:30:00.000000Z', 'edited', 'a-form-token-0001', '', NULL);
INSERT INTO past_row VALUES (1, 'plug', 9, 'plug', '9', 1, NULL, 0, '{}');
INSERT INTO past_file VALUES ('a8100ae6aa1940d0b663bb31cd466142ebbdbd5187131b92d93818987832eb89', x'ff');
"""


def fill(file: Path) -> None:
    """Make ``file`` such a database."""
    store = Store.open(file)
    with store.writing() as session:
        projects.create_project(session, project(joint()))
        catalogue.create_section(session, section(), {Length.from_mm(16): 12})
        catalogue.create_plug(session, Plug(material="oak", height=3), 5)
        tokens.once(session, sending("a-form-token-0001"), lambda: "/")
        revisions.add_revision(session, revision_head(), "{}", {("schedule", "A4"): b"%PDF"})
        quotes.add_quote(session, quote_head(), "{}", {("quote", "A4"): b"%PDF"})
    store.close()
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        connection.executescript(STOCK + MACHINE + DEVICE + PHOTOGRAPH + PATTERN + PAST)
