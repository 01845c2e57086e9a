"""The tables. A slice or an epoch is written once; only an old epoch loses its designs."""

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

VERSION = 2
"""Raised with every change to the tables, or to what is kept in them."""

metadata = MetaData()

# a single row, written with the tables
schema = Table("schema", metadata, Column("version", Integer, primary_key=True))

run = Table(
    "run",
    metadata,
    Column("id", String(200), primary_key=True),
    Column("study", String(180), nullable=False),
    Column("counter", Integer, nullable=False),
    Column("text", Text, nullable=False),
    Column("files", JSON, nullable=False),
    Column("digest", String(64), nullable=False, index=True),
    Column("plan", Text, nullable=False),
    Column("version", String(40), nullable=False),
    Column("outline", JSON, nullable=False),
    Column("state", String(12), nullable=False),
    Column("note", Text, nullable=False),
    Column("seconds_budget", Float),
    Column("designs_budget", Integer),
    Column("stops_early", Boolean, nullable=False),
    Column("created", String(32), nullable=False),
    Column("start_digest", String(64), nullable=False),
    Column("start_origins", JSON, nullable=False),
    Column("start_note", Text, nullable=False),
    Column("start", LargeBinary, nullable=False),
    UniqueConstraint("study", "counter"),
)

# apart from the run, whose text would be written again with each beat of a worker
turn = Table(
    "turn",
    metadata,
    Column("run_id", ForeignKey("run.id"), primary_key=True),
    Column("priority", Float, nullable=False),
    Column("most_workers", Integer),
    Column("served", Float, nullable=False),
    Column("seconds_spent", Float, nullable=False),
    Column("booked_until", Float, nullable=False),
    Column("tokens", Integer, nullable=False),
)

# a step that somebody has in hand, or had when it ended; gone once the step is done
claim = Table(
    "claim",
    metadata,
    Column("run_id", ForeignKey("run.id"), primary_key=True),
    Column("epoch", Integer, primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("token", Integer, nullable=False),
    Column("beat", Integer, nullable=False),
    Column("worker", String(200), nullable=False),
    Column("taken", String(32), nullable=False),
    Column("batch", Integer),
    Column("crashes", Integer, nullable=False),
    Column("crash_batch", Integer),
    Column("repeats", Integer, nullable=False),
    Column("fault", Text, nullable=False),
)

worker = Table(
    "worker",
    metadata,
    Column("name", String(200), primary_key=True),
    Column("home", String(200), nullable=False),
    Column("process", Integer, nullable=False),
    Column("born", String(32), nullable=False),
    Column("beat", Integer, nullable=False),
    Column("since", String(32), nullable=False),
    Column("seen", String(32), nullable=False),
)

slice_ = Table(
    "slice",
    metadata,
    Column("run_id", ForeignKey("run.id"), primary_key=True),
    Column("epoch", Integer, primary_key=True),
    Column("island", Integer, primary_key=True),
    Column("seconds", Float, nullable=False),
    Column("worker", String(200), nullable=False),
    Column("processor", String(200), nullable=False),
    Column("fault", Text, nullable=False),
    Column("seeds", Integer, nullable=False),
    Column("tried", Integer, nullable=False),
    Column("feasible", Integer, nullable=False),
    Column("missed", JSON, nullable=False),
    Column("gains", LargeBinary, nullable=False),
    # last, for a file database walks through it to reach what comes after
    Column("rows", LargeBinary, nullable=False),
)
# who asks for processors or faults does not walk through the rows of all slices
Index("slice_places", *(slice_.c[name] for name in ("run_id", "processor", "epoch", "island")))

epoch = Table(
    "epoch",
    metadata,
    Column("run_id", ForeignKey("run.id"), primary_key=True),
    Column("epoch", Integer, primary_key=True),
    Column("reference", LargeBinary, nullable=False),
    Column("hypervolume", Float, nullable=False),
    Column("first_hypervolume", Float, nullable=False),
    Column("tried", Integer, nullable=False),
    Column("feasible", Integer, nullable=False),
    Column("missed", JSON, nullable=False),
    Column("milestone_number", Integer, nullable=False),
    Column("gains", LargeBinary, nullable=False),
    Column("seed_origins", JSON, nullable=False),
    # designs stay until the epoch after the next is closed; the numbers above stay for good
    Column("seeds", LargeBinary, nullable=False),
    Column("milestone", LargeBinary, nullable=False),
    Column("promoted", LargeBinary, nullable=False),
    Column("population", LargeBinary, nullable=False),
    Column("front", LargeBinary, nullable=False),
)

certificate = Table(
    "certificate",
    metadata,
    Column("run_id", ForeignKey("run.id"), primary_key=True),
    Column("epoch", Integer, primary_key=True),
    Column("part", Integer, primary_key=True),
    Column("fault", Text, nullable=False),
    Column("rows", LargeBinary, nullable=False),
)

submission = Table(
    "submission",
    metadata,
    Column("key", String(200), primary_key=True),
    Column("digest", String(64), nullable=False),
    Column("run_id", ForeignKey("run.id"), nullable=False),
)

token = Table(
    "token",
    metadata,
    Column("name", String(100), primary_key=True),
    Column("digest", String(64), nullable=False, unique=True),
    Column("created", String(32), nullable=False),
    Column("revoked", String(32)),
)
