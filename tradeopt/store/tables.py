"""The tables. A slice or an epoch is written once and never changed."""

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData()

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
    Column("stop_asked", Boolean, nullable=False),
    Column("seconds_spent", Float, nullable=False),
    Column("seconds_budget", Float),
    Column("designs_budget", Integer),
    Column("created", String(32), nullable=False),
    UniqueConstraint("study", "counter"),
)

slice_ = Table(
    "slice",
    metadata,
    Column("run_id", ForeignKey("run.id"), primary_key=True),
    Column("epoch", Integer, primary_key=True),
    Column("island", Integer, primary_key=True),
    Column("seconds", Float, nullable=False),
    Column("worker", String(200), nullable=False),
    Column("fault", Text, nullable=False),
    # last, for a file database walks through it to reach what comes after
    Column("rows", LargeBinary, nullable=False),
)

epoch = Table(
    "epoch",
    metadata,
    Column("run_id", ForeignKey("run.id"), primary_key=True),
    Column("epoch", Integer, primary_key=True),
    Column("population", LargeBinary, nullable=False),
    Column("front", LargeBinary, nullable=False),
    Column("reference", LargeBinary, nullable=False),
    Column("hypervolume", Float, nullable=False),
    Column("first_hypervolume", Float, nullable=False),
    Column("tried", Integer, nullable=False),
    Column("feasible", Integer, nullable=False),
    Column("missed", JSON, nullable=False),
)
