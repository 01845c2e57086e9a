"""Kinds in a slot: one stage whatever fills it, each kind computing its own rows."""

import numpy as np
import pytest

from tradeopt.chain.fit import Place, fitted
from tradeopt.chain.kind import Kind, Number, Slot, Step
from tradeopt.errors import ChainError
from tradeopt.quantities import JOINTS, Quantity
from tradeopt.stages.registry import catalogue

LOAD = Quantity("load", "N*m", ("design", "joint", "phase"), "", (0, 1))
TORQUE = Quantity("torque", "N*m", ("design", "joint", "phase"), "", (0, 1))
WARMTH = Quantity("warmth", "K", ("design",), "", (0, 1))
SLOT = Slot("part", "robot.{joint}.part", {"duty": (TORQUE,)})


def kind(name: str, factor: float) -> Kind:
    def compute(values):
        gain = factor * values["gain"][:, None]
        return {"torque": gain * values["load"] + values["warmth"][:, None]}

    return Kind(
        name,
        SLOT,
        "",
        (Number("gain", "1", "", (0, 1)),),
        {"duty": Step((LOAD, WARMTH), compute)},
    )


PLAIN, TURNED = kind("plain", 1.0), kind("turned", -1.0)


def values(designs: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(3)
    return {
        "load": rng.random((designs, len(JOINTS), 4)),
        "warmth": rng.random(designs),
        **{f"robot.{joint}.part.gain": rng.random(designs) for joint in JOINTS},
    }


def expected(given: dict[str, np.ndarray], signs: np.ndarray) -> np.ndarray:
    gains = np.stack([given[f"robot.{joint}.part.gain"] for joint in JOINTS], axis=1)
    return np.asarray((signs * gains)[:, :, None] * given["load"] + given["warmth"][:, None, None])


def test_one_kind_everywhere_computes_all_joints_at_once() -> None:
    (stage,) = fitted(SLOT, tuple(Place(SLOT.path_of(joint), (PLAIN,)) for joint in JOINTS))
    given = values(5)
    np.testing.assert_allclose(stage.compute(given)["torque"], expected(given, np.ones((5, 6))))


def test_each_joint_may_have_another_kind() -> None:
    kinds = [PLAIN, TURNED, PLAIN, TURNED, TURNED, PLAIN]
    places = tuple(
        Place(SLOT.path_of(joint), (one,)) for joint, one in zip(JOINTS, kinds, strict=True)
    )
    (stage,) = fitted(SLOT, places)
    given = values(3)
    signs = np.array([1.0 if one is PLAIN else -1.0 for one in kinds])
    np.testing.assert_allclose(stage.compute(given)["torque"], expected(given, signs[None]))


def test_each_design_may_choose_the_kind_of_a_joint() -> None:
    places = tuple(
        Place(SLOT.path_of(joint), (TURNED, PLAIN) if joint == "knee" else (PLAIN,))
        for joint in JOINTS
    )
    (stage,) = fitted(SLOT, places)
    given = values(4) | {"robot.knee.part.kind": np.array([0.0, 1.0, 0.0, 1.0])}
    signs = np.ones((4, 6))
    signs[[0, 2], JOINTS.index("knee")] = -1.0
    np.testing.assert_allclose(stage.compute(given)["torque"], expected(given, signs))


def test_the_name_tells_slot_step_and_kinds() -> None:
    (stage,) = fitted(SLOT, (Place("robot.knee.part", (PLAIN, TURNED)),))
    assert stage.name == "part duty (plain, turned)"


def test_two_kinds_of_one_name_are_refused() -> None:
    with pytest.raises(ChainError, match=r"part\.plain: got two kinds of that name"):
        catalogue([PLAIN, kind("plain", 2.0)])


def test_a_kind_without_a_step_of_its_slot_is_refused() -> None:
    lame = Kind("lame", SLOT, "", (), {})
    with pytest.raises(ChainError, match=r"part\.lame: got steps \[\], want steps \['duty'\]"):
        catalogue([lame])


def test_two_slots_of_one_name_are_refused() -> None:
    other = Slot("part", "robot.other", {"duty": ()})
    stray = Kind("stray", other, "", (), {"duty": Step((), dict)})
    with pytest.raises(ChainError, match="a second slot 'part'"):
        catalogue([PLAIN, stray])


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (
            lambda _values: {},
            r"part duty \(wild\) gives torque: got nothing, want one entry a row",
        ),
        (lambda values: {"torque": values["load"][:1]}, r"got shape \(1, 4\), want one entry a"),
        (lambda values: {"torque": values["warmth"]}, r"got shape \(12,\), want one entry a row"),
    ],
    ids=["nothing", "too few rows", "no phases"],
)
@pytest.mark.parametrize("searched", [False, True])
def test_a_kind_that_breaks_its_promise_is_named(given, told: str, *, searched: bool) -> None:
    wild = Kind("wild", SLOT, "", (), {"duty": Step((LOAD, WARMTH), given)})
    kinds = (wild, PLAIN) if searched else (wild,)
    places = tuple(Place(SLOT.path_of(joint), kinds) for joint in JOINTS)
    (stage,) = fitted(SLOT, places)
    chosen = {f"robot.{joint}.part.kind": np.zeros(2) for joint in JOINTS}
    with pytest.raises(ChainError, match=told):
        stage.compute(values(2) | chosen)
