"""What drives give, worked out again number by number from the formulas of the trade."""

from math import cos, hypot, log2, pi, sqrt
from typing import Any

import pytest

from tests.stages.recomputed import (
    CHOICES,
    Drive,
    drives,
    evaluated,
    mean,
    peak,
)
from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.read import loads

COPPER = 0.00393  # 1/K from 20 degC, IEC 60028 (from memory)
LEGS = 2


def near(wanted: float | list[float]) -> Any:
    return pytest.approx(wanted, rel=1e-9, abs=1e-9)


def test_sizes_of_motors_follow_their_family() -> None:
    for one in drives():
        radius = one.said("motor.gap_radius") / one.family("gap_radius")
        length = one.said("motor.stack_length") / one.family("stack_length")
        turns = one.said("motor.turns")
        factors = {
            "motor_mass": ("mass", radius * length),
            "motor_diameter": ("diameter", radius),
            "motor_length": ("length", length),
            "rotor_inertia": ("rotor_inertia", radius**3 * length),
            "torque_constant": ("torque_constant", turns * radius * length),
            "phase_resistance": ("phase_resistance", turns**2 * length / radius),
            "phase_inductance": ("phase_inductance", turns**2 * length),
            "pole_pairs": ("pole_pairs", 1.0),
            "hysteresis_torque": ("hysteresis_torque", radius * length),
            "eddy_coefficient": ("eddy_coefficient", radius * length),
            "peak_motor_torque": ("peak_torque", radius**2 * length),
            "winding_area": ("winding_area", radius * length),
            "housing_area": ("housing_area", radius * length),
            "motor_friction": ("friction", radius * length),
            "saturation_current": ("saturation_current", radius / turns),
            "winding_limit": ("winding_limit", 1.0),
            "magnet_limit": ("magnet_limit", 1.0),
        }
        for name, (column, factor) in factors.items():
            assert one.one(name) == near(one.family(column) * factor), name
        copper = one.family("winding_share") * one.one("motor_mass")
        assert one.one("winding_capacity") == near(385.0 * copper)  # J/(kg K), from memory
        rest = one.family("rest_heat") * (one.one("motor_mass") - copper)
        assert one.one("housing_capacity") == near(rest)
        octaves = max(abs(log2(radius)), abs(log2(length)))
        assert one.one("motor_scaling_margin") == near(1.0 - octaves)


def test_motors_draw_current_and_lose_heat() -> None:
    for one in drives():
        constant, resistance = one.one("torque_constant"), one.one("phase_resistance")
        torque, speed = one.stride("motor_torque"), one.stride("motor_speed")
        bent, drag = one.one("saturation_current"), one.one("motor_friction")
        current = []
        for torques, speeds in zip(torque, speed, strict=True):
            signs = [(w > 0.0) - (w < 0.0) for w in speeds]
            straight = [
                (t + drag * sign) / constant for t, sign in zip(torques, signs, strict=True)
            ]
            current.append([i + i**3 / bent**2 for i in straight])
        assert one.stride("motor_current") == [near(gait) for gait in current]
        copper = [mean([1.5 * resistance * i * i for i in gait]) for gait in current]
        assert one.gaits("cold_copper_loss") == near(copper)
        slow, fast = one.one("hysteresis_torque"), one.one("eddy_coefficient")
        iron = [[(slow + drag) * abs(w) + fast * w * w for w in gait] for gait in speed]
        assert one.stride("iron_loss") == [near(gait) for gait in iron]
        limit = one.one("peak_motor_torque")
        assert one.one("motor_torque_margin") == near((limit - peak(torque)) / limit)


def efficiency_and_room(one: Drive) -> tuple[float, float]:
    if not one.has("transmission.stages"):
        return one.said("transmission.efficiency"), 1.0
    stages, ratio = one.said("transmission.stages"), one.said("transmission.ratio")
    largest = one.said("transmission.largest_stage_ratio")
    efficiency = 1.0
    for _ in range(int(stages)):
        efficiency *= one.said("transmission.stage_efficiency")
    return efficiency, 1.0 - ratio ** (1.0 / stages) / largest


def test_transmissions_pass_torque_and_lose_some() -> None:
    for one in drives():
        efficiency, room = efficiency_and_room(one)
        ratio, drag = one.said("transmission.ratio"), one.said("transmission.drag")
        rotor = one.one("rotor_inertia") + one.said("transmission.shaft_inertia")
        given = zip(
            one.stride("drive_torque"),
            one.stride("joint_speed"),
            one.stride("joint_acceleration"),
            strict=True,
        )
        torques, losses = [], []
        for torque, speed, acceleration in given:
            passed, lost = [], []
            for t, w, a in zip(torque, speed, acceleration, strict=True):
                share = 1.0 / efficiency if t * w >= 0.0 else 2.0 - 1.0 / efficiency
                sign = (w > 0.0) - (w < 0.0)
                passed.append(t * share / ratio + rotor * ratio * a + drag * sign)
                lost.append(abs(t * w) * (1.0 / efficiency - 1.0) + drag * ratio * abs(w))
            torques.append(passed)
            losses.append(mean(lost))
        assert one.stride("motor_torque") == [near(gait) for gait in torques]
        assert one.gaits("transmission_loss") == near(losses)
        fast = [[ratio * w for w in gait] for gait in one.stride("joint_speed")]
        assert one.stride("motor_speed") == [near(gait) for gait in fast]
        rated = one.said("transmission.rated_torque")
        left = (rated - peak(one.stride("drive_torque"))) / rated
        assert one.one("transmission_torque_margin") == near(left)
        assert one.one("transmission_ratio_margin") == near(room)


def test_transmissions_weigh_by_stages_and_torque() -> None:
    for one in drives():
        mass = one.said("transmission.rated_torque") * one.said("transmission.mass_per_torque")
        if one.has("transmission.stages"):
            stages = one.said("transmission.stages")
            mass += stages * one.said("transmission.stage_mass")
            length = stages * one.said("transmission.stage_length")
        else:
            mass += one.said("transmission.base_mass")
            length = one.said("transmission.length")
        assert one.one("transmission_mass") == near(mass)
        assert one.one("transmission_length") == near(length)


def wound(one: Drive, angle: float) -> float:
    """Deflection of the spring at an angle of the joint."""
    kind = one.kind("spring")
    if kind == "none":
        return 0.0
    if kind == "two_way":
        return angle - one.said("spring.rest_angle")
    beyond = angle - one.said("spring.engagement_angle")
    flexing = one.said("spring.wound_by") == 1.0
    return min(beyond, 0.0) if flexing else max(beyond, 0.0)


def test_springs_take_a_share_of_the_torque() -> None:
    kinds = set()
    for one in drives():
        kind = one.kind("spring")
        kinds.add(kind)
        deflection = [[wound(one, a) for a in gait] for gait in one.stride("joint_angle")]
        stiffness = one.said("spring.stiffness") if kind != "none" else 0.0
        torque = [[-stiffness * d for d in gait] for gait in deflection]
        assert one.stride("spring_torque") == [near(gait) for gait in torque]
        needed = zip(one.stride("joint_torque"), torque, strict=True)
        rest = [[j - s for j, s in zip(*both, strict=True)] for both in needed]
        assert one.stride("drive_torque") == [near(gait) for gait in rest]
        margin, mass = 1.0, 0.0
        if kind != "none":
            travel = one.said("spring.travel")
            margin = (travel - peak(deflection)) / travel
            volume = stiffness * travel**2 / 2.0 / one.said("spring.energy_per_volume")
            mass = volume * one.said("spring.density") * one.said("spring.mount_factor")
        assert one.one("spring_travel_margin") == near(margin)
        assert one.one("spring_mass") == near(mass)
    assert kinds == {"none", "two_way", "one_sided"}


def has_fan(one: Drive) -> bool:
    return one.kind("cooling") == "fan"


def test_cooling_is_conduction_side_by_side_and_weighs() -> None:
    for one in drives():
        ring = one.said("cooling.ring")
        inside = one.said("cooling.winding_film") * one.one("winding_area") + ring
        film = one.said("cooling.blown_film" if has_fan(one) else "cooling.air_film")
        film *= one.whole("air_density_ratio") ** 0.55  # the study gives it at sea level
        assert one.one("winding_to_housing") == near(1.0 / inside)
        assert one.one("housing_to_air") == near(1.0 / (film * one.one("housing_area")))
        fan_mass, power = (
            (one.said("cooling.mass"), one.said("cooling.power")) if has_fan(one) else (0.0, 0.0)
        )
        assert one.one("cooling_mass") == near(fan_mass + ring * one.said("cooling.ring_mass"))
        assert one.one("cooling_power") == near(power)
    assert sum(has_fan(one) for one in drives()) == 1


def test_windings_settle_where_heat_in_is_heat_out() -> None:
    """Balance of both nodes, the copper's loss following its temperature, step by step."""
    for one in drives():
        inside, outside = one.one("winding_to_housing"), one.one("housing_to_air")
        air = one.whole("ambient_temperature")
        for gait, cold in enumerate(one.gaits("cold_copper_loss")):
            margin = 1.0 - COPPER * cold * (inside + outside)
            assert one.gaits("runaway_margin")[gait] == near(margin)
            winding = one.gaits("winding_temperature")[gait]
            if margin <= 0.05 or winding > air + 500.0:  # beyond that, stand-ins
                continue
            iron = mean(one.stride("iron_loss")[gait])
            copper = cold * (1.0 + COPPER * (winding - 293.15))
            housing = air + outside * (copper + iron)
            assert one.gaits("housing_temperature")[gait] == near(housing)
            assert winding == near(housing + inside * copper)
            assert one.gaits("copper_loss")[gait] == near(copper)
            hot = one.one("phase_resistance") * copper / cold if cold else None
            assert hot is None or one.gaits("hot_resistance")[gait] == near(hot)


def electric(design: int, gait: int) -> tuple[list[list[float]], list[float]]:
    """Electric power of the drives of a leg by joint and phase, and the mean loss of each."""
    values = evaluated().values
    fixed, linear, squared = (
        float(values[f"robot.electronics.{name}"][design])
        for name in ("fixed_loss", "loss_per_current", "resistance")
    )
    powers, losses = [], []
    for place in range(len(q.JOINTS)):
        one = Drive(evaluated(), design, place)
        resistance = one.gaits("hot_resistance")[gait]
        names = ("motor_current", "motor_torque", "motor_speed", "iron_loss")
        power, loss = [], []
        for i, t, w, iron in zip(*(one.stride(name)[gait] for name in names), strict=True):
            loss.append(fixed + linear * abs(i) + squared * i * i)
            power.append(t * w + 1.5 * resistance * i * i + iron + loss[-1])
        powers.append(power)
        losses.append(mean(loss))
    return powers, losses


def test_the_bus_feeds_both_legs_half_a_stride_apart() -> None:
    values = evaluated().values
    returned = 0.0
    for design in range(len(CHOICES)):
        kept = float(values["robot.electronics.regeneration"][design])
        fans = sum(float(x) for x in values["cooling_power"][design])
        always = float(values["standby_power"][design]) + LEGS * fans
        for gait in range(len(evaluated().gaits)):
            powers, losses = electric(design, gait)
            assert values["drive_loss"][design, :, gait].tolist() == near(losses)
            means = [mean(power) for power in powers]
            assert values["drive_power"][design, :, gait].tolist() == near(means)
            leg = [sum(parts) for parts in zip(*powers, strict=True)]
            half = len(leg) // 2
            drawn = [leg[n] + leg[n - half] + always for n in range(len(leg))]
            bus = [power if power >= 0.0 else kept * power for power in drawn]
            assert values["bus_power"][design, gait].tolist() == near(bus)
            assert values["mean_power"][design, gait] == near(mean(bus))
            lost = mean([(1.0 - kept) * max(-power, 0.0) for power in drawn])
            assert values["regeneration_loss"][design, gait] == near(lost)
            returned += lost
    assert returned > 0.0, "no gait of any design returns power"


def test_inverters_have_current_left() -> None:
    margins = []
    for one in drives():
        largest = float(evaluated().values["robot.electronics.peak_current"][one.design])
        margins.append((largest - peak(one.stride("motor_current"))) / largest)
        assert one.one("drive_current_margin") == near(margins[-1])
    assert min(margins) < 0.0 < max(margins)


def test_motors_have_voltage_left_at_their_worst_moment() -> None:
    margins = []
    for one in drives():
        pairs, constant = one.one("pole_pairs"), one.one("torque_constant")
        linkage, inductance = constant / (1.5 * pairs), one.one("phase_inductance")
        most = 0.0
        for gait, resistance in enumerate(one.gaits("hot_resistance")):
            currents, speeds = (one.stride(n)[gait] for n in ("motor_current", "motor_speed"))
            for i, speed in zip(currents, speeds, strict=True):
                w = pairs * speed
                most = max(most, hypot(resistance * i + w * linkage, w * inductance * i))
        there = one.whole("low_bus_voltage") / sqrt(3.0)
        margins.append((there - most) / there)
        assert one.one("voltage_margin") == near(margins[-1])
    assert min(margins) < 0.0 < max(margins)


def test_a_recorded_stride_grows_with_weight_and_leg_length() -> None:
    legs = {400.0: 0.89, 430.0: 0.92, 360.0: 0.85}
    for thigh, leg in legs.items():
        text = EXAMPLE.text.replace("thigh: 400 mm", f"thigh: {thigh:.0f} mm", 1)
        empty = "spread_allowed: 3 deg, payload: {mass: 0 kg}"
        assert empty in text
        text = text.replace(empty, empty.replace("0 kg", "6 kg"))
        study = loads(text, EXAMPLE.files)
        values = study.problem.evaluate(study.problem.baseline[None]).values
        brisk = study.problem.layout.gaits.index("brisk")
        factor = (float(values["total_mass"][0]) + 6.0) * leg / (78.0 * 0.89)
        for place, joint in enumerate(q.JOINTS):
            recorded = [float(x) for x in values[f"gaits.brisk.stride.{joint}_torque"][0]]
            count = len(recorded)
            wanted = []
            for n in range(count):  # sum of the mean and 12 harmonics
                total = mean(recorded)
                for k in range(1, 13):
                    for m, torque in enumerate(recorded):
                        total += 2.0 / count * torque * cos(2.0 * pi * k * (n - m) / count)
                wanted.append(factor * total)
            assert values["joint_torque"][0, place, brisk].tolist() == near(wanted)
        for name in ("knee_flexion_margin", "reach_margin", "balance_margin"):
            assert values[name][0, brisk] == 1.0, name


def test_the_ground_carries_a_share_of_the_weight() -> None:
    values = evaluated().values
    for design in range(len(CHOICES)):
        weight = float(values["total_mass"][design]) * 9.81
        for gait, name in enumerate(evaluated().gaits):
            load = [float(x) for x in values["foot_load"][design, gait]]
            half = len(load) // 2
            both = [load[n] + load[n - half] for n in range(len(load))]
            least = 1.0 if name == "brisk" else min(both) / weight
            assert values["ground_load_margin"][design, gait] == pytest.approx(least, rel=1e-6)
    assert 0.5 < values["ground_load_margin"][0, 0] < 0.99
