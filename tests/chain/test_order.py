"""Ordering by need, and every misfit told on both sides before anything runs."""

from dataclasses import dataclass, field

import numpy as np
import pytest

from tradeopt.chain.run import Chain
from tradeopt.errors import ChainError
from tradeopt.quantities import Quantity


def quantity(name: str, unit: str = "W", axes: tuple[str, ...] = ("design",)) -> Quantity:
    return Quantity(name, unit, axes, "for the test", (0.0, 1.0))


@dataclass(frozen=True)
class Adder:
    """Gives the sum of its needs under every name it promises."""

    name: str
    needs: tuple[Quantity, ...]
    gives: tuple[Quantity, ...]
    seen: list[str] = field(default_factory=list)

    def compute(self, values):
        self.seen.extend(values)
        total = np.sum(list(values.values()), axis=0)
        return {one.name: total for one in self.gives}


def test_stages_run_after_those_that_give_what_they_need() -> None:
    last = Adder("last", (quantity("b"), quantity("a")), (quantity("c"),))
    first = Adder("first", (quantity("a"),), (quantity("b"),))
    chain = Chain.of([last, first], [quantity("a")])
    assert [stage.name for stage in chain.stages] == ["first", "last"]
    known = chain.run({"a": np.array([1.0, 2.0])}, {"design": 2})
    assert known["c"].tolist() == [2.0, 4.0]


def test_a_stage_sees_what_it_declares_and_nothing_else() -> None:
    stage = Adder("stage", (quantity("a"),), (quantity("c"),))
    Chain.of([stage], [quantity("a"), quantity("b")]).run(
        {"a": np.ones(1), "b": np.ones(1)}, {"design": 1}
    )
    assert stage.seen == ["a"]


def test_a_missing_need_names_the_stage_the_quantity_and_the_near_name() -> None:
    stage = Adder("heat", (quantity("cooper_loss"),), (quantity("rise", "K"),))
    with pytest.raises(ChainError) as caught:
        Chain.of([stage], [quantity("copper_loss")])
    (problem,) = caught.value.problems
    assert "heat needs cooper_loss" in str(problem)
    assert problem.near == "copper_loss"


def test_two_givers_are_both_named() -> None:
    one = Adder("one", (), (quantity("a"),))
    two = Adder("two", (), (quantity("a"),))
    with pytest.raises(ChainError, match="a: got 2 givers: one and two, want one giver"):
        Chain.of([one, two], [])


def test_giving_what_the_study_gives_is_a_double_giver() -> None:
    with pytest.raises(ChainError, match="2 givers: the study and one"):
        Chain.of([Adder("one", (), (quantity("a"),))], [quantity("a")])


@pytest.mark.parametrize(
    ("given", "needed"),
    [
        (quantity("a", "W"), quantity("a", "J")),
        (quantity("a", "W", ("design", "joint")), quantity("a", "W", ("design",))),
    ],
    ids=["unit", "axes"],
)
def test_another_unit_or_other_axes_name_both_sides(given: Quantity, needed: Quantity) -> None:
    giver = Adder("giver", (), (given,))
    needer = Adder("needer", (needed,), (quantity("b"),))
    with pytest.raises(ChainError, match=r"needer needs a: got .* from giver, want"):
        Chain.of([giver, needer], [])


def test_a_circle_names_every_stage_in_it() -> None:
    egg = Adder("egg", (quantity("hen"),), (quantity("egg"),))
    hen = Adder("hen", (quantity("egg"),), (quantity("hen"),))
    with pytest.raises(ChainError, match="circle of needs") as caught:
        Chain.of([egg, hen], [])
    assert "egg" in str(caught.value)
    assert "hen" in str(caught.value)


def test_all_problems_are_told_at_once() -> None:
    one = Adder("one", (quantity("x"),), (quantity("a"),))
    two = Adder("two", (quantity("y"),), (quantity("a"),))
    with pytest.raises(ChainError) as caught:
        Chain.of([one, two], [])
    assert {problem.where for problem in caught.value.problems} == {
        "a",
        "one needs x",
        "two needs y",
    }


def test_a_wrong_shape_names_the_stage_and_what_it_promised() -> None:
    class Short(Adder):
        def compute(self, values):
            return {"b": values["a"][:1]}

    chain = Chain.of([Short("short", (quantity("a"),), (quantity("b"),))], [quantity("a")])
    with pytest.raises(ChainError, match=r"short gives b: got shape \(1,\), want shape \(2,\)"):
        chain.run({"a": np.zeros(2)}, {"design": 2})


def test_a_stage_that_gives_too_little_or_too_much_is_told() -> None:
    class Wild(Adder):
        def compute(self, values):
            return {"extra": np.zeros(1 + len(values))}

    chain = Chain.of([Wild("wild", (), (quantity("b"),))], [])
    with pytest.raises(ChainError) as caught:
        chain.run({}, {"design": 1})
    assert [problem.where for problem in caught.value.problems] == [
        "wild gives extra",
        "wild gives b",
    ]


def test_up_to_keeps_only_what_a_quantity_rests_on() -> None:
    base = Adder("base", (quantity("a"),), (quantity("b"),))
    aside = Adder("aside", (quantity("x"),), (quantity("y"),))
    top = Adder("top", (quantity("b"),), (quantity("c"),))
    part = Chain.of([top, aside, base], [quantity("a"), quantity("x")]).up_to("b")
    assert [stage.name for stage in part.stages] == ["base"]
    assert [one.name for one in part.inputs] == ["a"]
