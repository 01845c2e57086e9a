"""Slots and kinds: what can be swapped in the study file by one word.

A *slot* is a place of the robot that something must fill, such as the transmission of a joint. A
*kind* is one way to fill it. Every kind of a slot gives the same quantities, so any of them fits;
what each needs is its own business and is asked for, by name, before anything runs. A kind holds
no physical number: each is a parameter that the study gives. There is one object of each slot and
kind, so they are compared by identity.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, TypeAlias

from tradeopt.arrays import Array
from tradeopt.chain.stage import Values
from tradeopt.quantities import Quantity


@dataclass(frozen=True)
class Input:
    """One array that a parameter turns into; `axes` are those after `design`."""

    name: str
    unit: str
    axes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Number:
    """A parameter that is a number with a unit.

    Attributes
    ----------
    name : str
        Key in the study file; a dot steps into a nested table.
    unit : str
        SI unit; "1" for plain numbers.
    meaning : str
        One line for the schema and for error messages.
    typical : tuple of float
        Usual range, SI; the contract tests draw from it.
    above, at_least, at_most : float, optional
        What the number must keep to have a meaning at all.
    whole : bool
        Whole numbers only.
    compared : bool
        The kind is also shown what the study file itself says, whatever a design chooses, under
        the name `{name}.baseline`.
    """

    name: str
    unit: str
    meaning: str
    typical: tuple[float, float]
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    whole: bool = False
    compared: bool = False

    @property
    def baseline(self) -> str:
        """Name of the array that holds what the study file itself says."""
        return f"{self.name}.baseline"

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The arrays that it turns into."""
        own = Input(self.name, self.unit)
        return (own, Input(self.baseline, self.unit)) if self.compared else (own,)


@dataclass(frozen=True)
class Word:
    """A parameter that is one of a few words; its array holds their places in `words`."""

    name: str
    words: tuple[str, ...]
    meaning: str

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The arrays that it turns into."""
        return (Input(self.name, "1"),)


@dataclass(frozen=True)
class Column:
    """One column of a table, or one array of a file.

    Attributes
    ----------
    name : str
        What it is called.
    unit : str
        SI unit; "1" for plain numbers.
    meaning : str
        One line for the reader.
    typical : tuple of float
        Usual range, SI; the contract tests draw from it.
    axes : tuple of str
        Axes after `design`.
    asked_by : tuple of str and tuple of str, optional
        A word parameter of the same kind, and the words of it that need this column; the file may
        leave it out where none of them is chosen, and its array is then all NaN.
    above, at_least, at_most : float, optional
        What its numbers must keep to have a meaning at all, in a table of parts.
    """

    name: str
    unit: str
    meaning: str
    typical: tuple[float, float]
    axes: tuple[str, ...] = ()
    asked_by: tuple[str, tuple[str, ...]] | None = None
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None

    def asked(self, by: tuple[str, tuple[str, ...]]) -> "Column":
        """Return the same column, needed only where one of these words is chosen."""
        return replace(self, asked_by=by)


@dataclass(frozen=True)
class Agreement:
    """What ties a column of a table of parts to others: a row that breaks it is refused.

    Attributes
    ----------
    column : str
        The column that follows from the others.
    follows : callable
        Works it out from theirs.
    others : tuple of str
        The columns that it takes, in its order.
    tolerance : float
        How far the two may be apart, as a share of what follows.
    form : str
        What it has to be, in words or as a formula.
    """

    column: str
    follows: Callable[..., Array]
    others: tuple[str, ...]
    tolerance: float
    form: str


@dataclass(frozen=True)
class Row:
    """A parameter that picks one row of a table of parts; it turns into the row's columns."""

    name: str
    table: str
    columns: tuple[Column, ...]
    meaning: str
    agreements: tuple[Agreement, ...] = ()

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The arrays that it turns into."""
        return tuple(Input(f"{self.name}.{column.name}", column.unit) for column in self.columns)


@dataclass(frozen=True)
class File:
    """A parameter that names a file beside the study; what it says turns into arrays.

    Attributes
    ----------
    name : str
        Key in the study file.
    form : str
        How it is read: `stride` is a table of one recorded stride or of many, `ratio` a curve of
        a transmission, `urdf` a robot.
    columns : tuple of Column
        What it turns into.
    meaning : str
        One line for the schema and for error messages.
    """

    name: str
    form: Literal["stride", "ratio", "urdf"]
    columns: tuple[Column, ...]
    meaning: str

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The arrays that it turns into."""
        return tuple(
            Input(f"{self.name}.{column.name}", column.unit, column.axes)
            for column in self.columns
        )


@dataclass(frozen=True)
class Label:
    """A parameter that is the name of something inside a file; it turns into no array."""

    name: str
    meaning: str

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The arrays that it turns into: none."""
        return ()


@dataclass(frozen=True)
class Entry:
    """A parameter that names one entry of an axis, such as a gait; its array holds its place."""

    name: str
    axis: str
    meaning: str

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The arrays that it turns into."""
        return (Input(self.name, "1"),)


Parameter: TypeAlias = Number | Word | Row | File | Label | Entry


@dataclass(frozen=True, eq=False)
class Slot:
    """A place that a kind fills.

    Attributes
    ----------
    name : str
        What it is called.
    path : str
        Where its kind and parameters stand in the study file; one part in braces, such as
        `{joint}`, makes it a slot for every entry of that axis.
    steps : mapping of str to tuple of Quantity
        What every kind gives, step by step: `size` follows from the parameters alone, `duty` from
        the loads.
    default : str, optional
        The kind that is meant where the study names none.
    required : bool
        Whether a study has to fill it; what no study has to fill is there when one does.
    beside : Slot, optional
        A slot that this one works on: it is there when that one is.
    """

    name: str
    path: str
    steps: Mapping[str, tuple[Quantity, ...]]
    default: str | None = None
    required: bool = True
    beside: "Slot | None" = None

    @cached_property
    def axis(self) -> str | None:
        """The axis whose every entry has its own kind and parameters, if there is one."""
        return self.path.partition("{")[2].partition("}")[0] or None

    @property
    def table(self) -> str:
        """The path of the table whose keys are the entries of its axis."""
        return self.path.partition(".{")[0]

    def path_of(self, entry: str = "") -> str:
        """Return the path of one entry of its axis."""
        return self.path.replace(f"{{{self.axis}}}", entry)


@dataclass(frozen=True)
class Step:
    """What one step of a kind needs, and the pure function that does it.

    The function sees its needs and the kind's parameters by name, with the slot's own axis folded
    into the leading one, and returns what the slot promises for that step.
    """

    needs: tuple[Quantity, ...]
    compute: Callable[[Values], Values]


@dataclass(frozen=True, eq=False)
class Kind:
    """One way to fill a slot.

    Attributes
    ----------
    name : str
        The word in the study file.
    slot : Slot
        What it fills.
    meaning : str
        One line for the schema.
    parameters : tuple of Parameter
        What the study must give.
    steps : mapping of str to Step
        One for every step of the slot.
    """

    name: str
    slot: Slot
    meaning: str
    parameters: tuple[Parameter, ...]
    steps: Mapping[str, Step]

    @cached_property
    def inputs(self) -> tuple[Input, ...]:
        """The arrays that its parameters turn into."""
        return tuple(one for parameter in self.parameters for one in parameter.inputs)
