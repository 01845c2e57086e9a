"""What goes in and out of the routes."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from tradeopt.services.submission import Asked, BudgetAsked

MOST_DESIGNS = 10**12
LONGEST_STUDY = 262_144
LONGEST_FILE = 5_000_000
MOST_FILES = 100

RUN_NAME = r"^[^\x00]+$"
"""A database cannot even be asked for a name with a zero byte."""

Number = float | None
"""A number in SI; null where there is none."""

Files = Annotated[
    dict[
        Annotated[str, Field(max_length=255)],
        Annotated[str, Field(max_length=LONGEST_FILE)],
    ],
    Field(max_length=MOST_FILES),
]
"""Contents of files by name."""


Changes = Annotated[
    dict[str, Annotated[str, Field(max_length=200)]],
    Field(max_length=1000, examples=[{"robot.battery.parallel": "14"}]),
]
"""Values by path, as the study file would say them."""


class Given(BaseModel):
    """What comes in; a name that is not known is refused."""

    model_config = ConfigDict(extra="forbid")


class Told(BaseModel):
    """What goes out."""

    model_config = ConfigDict(extra="allow")


class StudyGiven(Given):
    """A study file and the files that it names."""

    study: Annotated[str, Field(description="The study file.", max_length=LONGEST_STUDY)]
    files: Files = {}


class BudgetGiven(Given):
    """How long to search, for the whole run; as before where nothing is said."""

    time: Annotated[str | None, Field(max_length=40, examples=["8 h"])] = None
    designs: Annotated[int | None, Field(ge=1, le=MOST_DESIGNS)] = None
    to_the_end: Annotated[
        bool, Field(description="Do not stop early once the front has stopped growing.")
    ] = False

    def budget(self) -> BudgetAsked:
        """Say it as the service wants it."""
        return BudgetAsked(self.time, self.designs, self.to_the_end)


class SubmissionGiven(StudyGiven, BudgetGiven):
    """A study that is to be searched."""

    seed: Annotated[int | None, Field(ge=0, le=2**63 - 1)] = None
    picks: Annotated[
        list[Changes],
        Field(
            max_length=100,
            description="Designs to try and keep: variables that differ from the baseline.",
        ),
    ] = []
    reuse: Annotated[
        str | None,
        Field(max_length=200, pattern=RUN_NAME, description="Run whose designs are begun with."),
    ] = None
    priority: Annotated[
        float | None,
        Field(gt=0.0, le=1000.0, description="Share of the workers against others; 1 is usual."),
    ] = None

    def asked(self) -> Asked:
        """Say it as the service wants it."""
        return Asked(
            study=self.study,
            files=self.files,
            budget=self.budget(),
            seed=self.seed,
            picks=tuple(self.picks),
            reuse=self.reuse,
            priority=self.priority,
        )


class EvaluationGiven(StudyGiven):
    """A study of which one design is to be evaluated."""

    set: Annotated[
        Changes, Field(description="Values said otherwise, with their units, by path.")
    ] = {}


class ProblemPlace(Told):
    """One thing that is wrong, and where."""

    detail: str
    pointer: Annotated[str | None, Field(description="JSON pointer into what came.")] = None
    file: str | None = None
    line: Annotated[int | None, Field(description="From 1.")] = None
    column: Annotated[int | None, Field(description="From 1.")] = None


class ProblemTold(Told):
    """A problem document (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[ProblemPlace] = []


class Alive(Told):
    """It runs."""

    status: Literal["ok"]


class RunListed(Told):
    """How a run stands, in a list."""

    id: str
    study: str
    state: Literal["running", "stopped", "finished", "failed"]
    note: str
    created: Annotated[str, Field(description="UTC.")]
    seconds: Annotated[float, Field(description="Spent searching [s].")]
    epochs: int
    designs: Annotated[int, Field(description="Tried.")]
    feasible: Annotated[int, Field(description="Of them, those that meet every limit.")]
    feasible_share: float
    growth: Annotated[Number, Field(description="Of the front since the first one.")]
    tightest_limit: str | None


class RunPage(Told):
    """A part of the list of runs, the newest first."""

    items: list[RunListed]
    next: Annotated[str | None, Field(description="Cursor of the next part.")]


class GrowthStep(Told):
    """How far a run had come at the end of an epoch."""

    epoch: int
    tried: int
    feasible: int
    hypervolume: float
    growth: Number
    missed: list[int]


class RunTold(RunListed):
    """How a run stands."""

    sentence: Annotated[str, Field(description="What it has come to.")]
    progress: Annotated[str, Field(description="How it comes along, on one line.")]
    waiting: Annotated[str, Field(description="What it waits for; empty if it is worked on.")]
    remarks: Annotated[list[str], Field(description="What else there is to know.")]
    front: Annotated[int, Field(description="Designs on the front.")]
    hypervolume: float
    stationary: Annotated[
        int | None, Field(description="Designs of the front that no small change improves.")
    ]
    missed: Annotated[dict[str, int], Field(description="Designs that miss each limit.")]
    seconds_left: Number
    designs_left: int | None
    share_done: Annotated[float, Field(description="Of its budget, 0 to 1.")]
    seed: int
    study_sha256: str


class RunInFull(RunTold):
    """How a run stands, and how it came there."""

    growth_by_epoch: list[GrowthStep]


class StudyAsked(Told):
    """What a study asks."""

    name: str
    study_sha256: str
    variables: list[dict[str, object]]
    objectives: list[dict[str, object]]
    limits: list[dict[str, object]]


class StudyTold(StudyAsked):
    """The study of a run."""

    study: Annotated[str, Field(description="The study file.")]
    files: dict[str, str]


class StudyChecked(Told):
    """What a study asks, or what is wrong with it."""

    valid: bool
    asked: StudyAsked | None
    errors: list[ProblemPlace]


class ColumnTold(Told):
    """What the numbers of a column mean; what is read is ``scale * number + offset``."""

    name: str
    role: Literal["number", "verdict", "objective", "variable", "limit"]
    unit: Annotated[str, Field(description="SI.")]
    shown_in: str
    scale: float
    offset: float
    choices: Annotated[list[str], Field(description="A number is the place of one of them.")]
    whole: bool


class TableTold(Told):
    """Designs, a row each, in SI; null where a law does not hold."""

    run: str
    total: Annotated[int, Field(description="Designs within the bounds.")]
    next: Annotated[int | None, Field(description="Offset of the rest.")]
    columns: list[ColumnTold]
    rows: list[list[Number]]


class NearestTold(TableTold):
    """The designs that come nearest to the limits, the best first."""

    way_out: Annotated[str, Field(description="Which limits to relax; empty if one meets all.")]


class DesignTold(Told):
    """One design, in SI."""

    number: int
    feasible: bool
    variables: dict[str, float | int | str]
    objectives: dict[str, Number]
    violations: Annotated[
        dict[str, float], Field(description="Shares by which limits are missed; 0 keeps one.")
    ]


class CellTold(Told):
    """A number of a sheet."""

    value: Annotated[Number, Field(description="In SI.")]
    unit: Annotated[str, Field(description="SI.")]
    shown_in: Annotated[str, Field(description="Unit that it is read in.")]
    shown: Annotated[str, Field(description="As it is read, with its unit.")]


class SheetTable(Told):
    """A table of a sheet, as it is read."""

    name: str
    title: str
    heads: list[str]
    rows: list[list[str | CellTold]]
    labels: Annotated[int, Field(description="Columns that say what a row is about.")]
    aside: Annotated[list[str], Field(description="Heads of columns for programs only.")]
    remark: str


class SheetTold(Told):
    """All there is to say of one design."""

    study: str
    study_sha256: str
    verdict: str
    feasible: bool
    sections: Annotated[
        dict[str, list[dict[str, object]]], Field(description="Numbers in SI, for programs.")
    ]
    tables: Annotated[list[SheetTable], Field(description="The same, for readers.")]
    notes: list[str]
