"""Mistakes in the values, tables and kinds of a study, and how each is told."""

from tests.study.edits import EXAMPLE, Case, added, dropped, edited, without

LENGTH = "a length in m, such as '400 mm'"
PLAIN = "a plain number or share, such as '10 %' or '0.1'"
KNEE = "robot.drives.knee"
PARALLEL = "variables.robot.battery.parallel"


CASES: list[Case] = [
    # names
    (
        "an unknown name, deep in the file",
        added("robot.frame.thigh", "    §thihg: 3 mm"),
        (
            "robot.frame.thihg",
            "'thihg', which is not known here",
            "one of: kind, thigh, shank, ...",
            "thigh",
        ),
    ),
    (
        "an unknown name at the top",
        EXAMPLE + "§limit: {}\n",
        ("limit", "'limit', which is not known here", "one of: format, name, note, ...", "limits"),
    ),
    (
        "an unknown name, four tables deep",
        edited("robot.frame.foot.heel", "75 mm, §heal: 3 mm"),
        (
            "robot.frame.foot.heal",
            "'heal', which is not known here",
            "one of: length, width, heel",
            "heel",
        ),
    ),
    (
        "an unknown name in a gait",
        edited("gaits.steady.speed", "0.5 m/s, §sped: 1 m/s"),
        (
            "gaits.steady.sped",
            "'sped', which is not known here",
            "one of: kind, speed, ...",
            "speed",
        ),
    ),
    (
        "an unknown name in a variable",
        edited(f"{PARALLEL}.from", "4, §form: 5"),
        (
            "variables.robot.battery.parallel.form",
            "'form', which is not known here",
            "one of: from, to, scale, choices",
            "from",
        ),
    ),
    (
        "an unknown stage",
        added("stages.mass", "  §haet: two_node"),
        (
            "stages.haet",
            "'haet', which is not known here",
            "one of: round, mass, heat, ...",
            "heat",
        ),
    ),
    (
        "a name twice",
        added("robot.frame.thigh", "    §thigh: 410 mm"),
        ("robot.frame.thigh", "'thigh' a second time (first on line 11)", "each name once", None),
    ),
    # numbers and units
    (
        "another dimension",
        edited("robot.frame.thigh", "§6 kg"),
        ("robot.frame.thigh", "'6 kg', which is a mass", LENGTH, None),
    ),
    (
        "no unit",
        edited("robot.frame.thigh", "§400"),
        ("robot.frame.thigh", "'400', a number without a unit", LENGTH, None),
    ),
    (
        "a unit where none belongs",
        edited(f"{KNEE}.transmission.ratio", "§14 mm"),
        (f"{KNEE}.transmission.ratio", "'14 mm', which is a length", PLAIN, None),
    ),
    (
        "a decimal comma",
        edited("robot.frame.thigh", "§1,2 m"),
        (
            "robot.frame.thigh",
            "'1,2 m'",
            LENGTH + "; a comma is not a decimal point, write '1.2 m'",
            None,
        ),
    ),
    (
        "a tower of powers",
        edited("robot.bodies.torso.mass", "§9**9**8 kg"),
        (
            "robot.bodies.torso.mass",
            "'9**9**8 kg', where '^9^8' is not a unit",
            "a mass in kg, such as '6 kg'",
            None,
        ),
    ),
    (
        "no number, in YAML's own words",
        edited("robot.frame.thigh", "§.nan"),
        ("robot.frame.thigh", "'.nan', which does not start with a number", LENGTH, None),
    ),
    (
        "no number, with a unit",
        edited("robot.frame.thigh", "§nan mm"),
        ("robot.frame.thigh", "'nan mm', which does not start with a number", LENGTH, None),
    ),
    (
        "no finite number",
        edited("robot.bodies.torso.mass", "§inf kg"),
        (
            "robot.bodies.torso.mass",
            "'inf kg', which does not start with a number",
            "a mass in kg, such as '6 kg'",
            None,
        ),
    ),
    (
        "a number beyond all numbers",
        edited("robot.bodies.torso.mass", "§1e999 kg"),
        (
            "robot.bodies.torso.mass",
            "'1e999 kg', which is too large",
            "a mass in kg, such as '6 kg'",
            None,
        ),
    ),
    (
        "a temperature below absolute zero",
        edited("surroundings.ambient", "§-300 degC"),
        (
            "surroundings.ambient",
            "'-300 degC', which is below absolute zero",
            "a temperature in K, such as '40 degC'",
            None,
        ),
    ),
    (
        "part of a whole",
        edited("robot.battery.series", "§2.5"),
        ("robot.battery.series", "2.5", "a whole number, such as '16'", None),
    ),
    (
        "less than the least",
        edited("robot.battery.series", "§0"),
        ("robot.battery.series", "0", "at least 1", None),
    ),
    (
        "percent without its sign",
        edited("robot.electronics.regeneration", "§70"),
        ("robot.electronics.regeneration", "70", "at most 1 (100 %)", None),
    ),
    (
        "a length of nothing",
        edited("robot.frame.thigh", "§0 mm"),
        ("robot.frame.thigh", "'0 mm'", "at least 0.02 m", None),
    ),
    (
        "yes for a count",
        edited("robot.other_joints.arms.count", "§yes"),
        (
            "robot.other_joints.arms.count",
            "'yes', which does not start with a number",
            "a whole number, such as '20'",
            None,
        ),
    ),
    (
        "true for a count",
        edited("robot.other_joints.arms.count", "§true"),
        ("robot.other_joints.arms.count", "true", "a whole number, such as '20'", None),
    ),
    (
        "a list for a number",
        edited("robot.frame.thigh", "§[400 mm]"),
        ("robot.frame.thigh", "a list", LENGTH, None),
    ),
    (
        "a table for a number",
        edited("robot.frame.thigh", "§{length: 400 mm}"),
        ("robot.frame.thigh", "a table", LENGTH, None),
    ),
    (
        "nothing for a number",
        edited("robot.frame.thigh", "§null"),
        ("robot.frame.thigh", "nothing", LENGTH, None),
    ),
    (
        "a text of 200,000 characters",
        edited("robot.frame.thigh", "§" + "9" * 200_000),
        ("robot.frame.thigh", "'" + "9" * 24 + "'... of 200000 characters", LENGTH, None),
    ),
    # tables
    (
        "a list for a table",
        edited("robot.frame.foot", "§[240 mm, 100 mm]"),
        ("robot.frame.foot", "a list", "a table with length, width, heel", None),
    ),
    (
        "a number for a table",
        edited("robot.frame.foot", "§7"),
        ("robot.frame.foot", "7", "a table with length, width, heel", None),
    ),
    (
        "nothing for a place with one kind",
        edited("robot.battery", "§null"),
        ("robot.battery", "nothing", "a table", None),
    ),
    (
        "nothing for a variable",
        edited(PARALLEL, "§null"),
        (
            PARALLEL,
            "nothing",
            "a table, such as '{from: 8, to: 40}' or '{choices: [none, two_way]}'",
            None,
        ),
    ),
    (
        "a list of objectives",
        without("objectives") + "objectives: §[range]\n",
        ("objectives", "a list", "a table, such as 'range: highest'", None),
    ),
    # kinds
    (
        "an unknown kind",
        edited(f"{KNEE}.cooling.kind", "§fna"),
        (f"{KNEE}.cooling.kind", "'fna'", "one of: still_air, fan", "fan"),
    ),
    (
        "an unknown kind in one word",
        edited(f"{KNEE}.spring", "§two_wy"),
        (
            f"{KNEE}.spring",
            "'two_wy'",
            "one of: none, two_way, one_sided, ...",
            "two_way",
        ),
    ),
    (
        "nothing for a kind",
        edited(f"{KNEE}.spring", "§null"),
        (
            f"{KNEE}.spring",
            "nothing",
            "one of: none, two_way, one_sided, ...",
            None,
        ),
    ),
    (
        "a list for a kind",
        edited(f"{KNEE}.spring", "§[none]"),
        (
            f"{KNEE}.spring",
            "a list",
            "one of: none, two_way, one_sided, ...",
            None,
        ),
    ),
    (
        "a word for a table of one kind",
        edited("robot.battery", "§60 %"),
        ("robot.battery", "'60 %'", "a table", None),
    ),
    (
        "a parameter of another kind",
        edited("robot.drives.hip_yaw.cooling.kind", "still_air, §power: 3 W"),
        (
            "robot.drives.hip_yaw.cooling.power",
            "'power', which fan has, not still_air",
            "one of: kind, winding_film, ring, ring_mass, air_film, maturity",
            None,
        ),
    ),
    (
        "a row that is not in its table",
        edited(f"{KNEE}.motor.family", "§demo-falt"),
        (
            f"{KNEE}.motor.family",
            "'demo-falt'",
            "one of: demo-flat, demo-slim, demo-open",
            "demo-flat",
        ),
    ),
    (
        "a body that the robot does not have",
        edited(f"{KNEE}.mount.body", "§thihg"),
        (f"{KNEE}.mount.body", "'thihg'", "one of: torso, hip_yaw, ...", "thigh"),
    ),
    (
        "a recorded gait without its stride",
        dropped("gaits.brisk.stride", EXAMPLE).replace("  brisk: {kind", "  §brisk: {kind"),
        ("gaits.brisk.stride", "nothing", "the name of a CSV file beside the study file", None),
    ),
    (
        "a motor without its family",
        EXAMPLE.replace("motor: {family: demo-slim, gap", "§motor: {gap", 1),
        (
            "robot.drives.hip_yaw.motor.family",
            "nothing",
            "one of: demo-flat, demo-slim, demo-open",
            None,
        ),
    ),
]
