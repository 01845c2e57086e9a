"""Mistakes in the variables of a study, and how each is told."""

from tests.study.edits import Case, added, edited

LENGTH = "a length in m, such as '400 mm'"
KNEE = "robot.drives.knee"
COOLING = "variables.robot.drives.knee.cooling.kind"
FAMILY = "variables.robot.drives.knee.motor.family"
PARALLEL = "variables.robot.battery.parallel"
STACK = "variables.robot.drives.knee.motor.stack_length"
RATIO = "variables.robot.drives.knee.transmission.ratio"


def variable(path: str, spec: str) -> str:
    """Add a variable to the example."""
    return added("variables.robot.battery.cell", f"  §{path}: {spec}")


CASES: list[Case] = [
    (
        "bounds the wrong way round",
        edited(PARALLEL, "{from: §24, to: 4}"),
        (f"{PARALLEL}.from", "24", "less than 'to', which is 4", None),
    ),
    (
        "bounds that are equal",
        edited(PARALLEL, "{from: §12, to: 12}"),
        (f"{PARALLEL}.from", "12", "less than 'to', which is 12", None),
    ),
    (
        "bounds that are equal in other units",
        edited(STACK, "{from: §2 cm, to: 20 mm}"),
        (f"{STACK}.from", "'2 cm'", "less than 'to', which is '20 mm'", None),
    ),
    (
        "a bound without its unit",
        edited(f"{STACK}.to", "§40"),
        (f"{STACK}.to", "'40', a number without a unit", LENGTH, None),
    ),
    (
        "a bound of another dimension",
        edited(f"{STACK}.from", "§8 g"),
        (f"{STACK}.from", "'8 g', which is a mass", LENGTH, None),
    ),
    (
        "a bound that is part of a whole",
        edited(f"{PARALLEL}.from", "§4.5"),
        (f"{PARALLEL}.from", "4.5", "a whole number, such as '20'", None),
    ),
    (
        "a bound that the value may not have",
        edited(f"{PARALLEL}.from", "§-3"),
        (f"{PARALLEL}.from", "-3", "at least 1", None),
    ),
    (
        "a list for a bound",
        edited(f"{PARALLEL}.from", "§[4]"),
        (f"{PARALLEL}.from", "a list", "a whole number, such as '20'", None),
    ),
    (
        "true for a bound",
        edited(f"{PARALLEL}.from", "§true"),
        (f"{PARALLEL}.from", "true", "a whole number, such as '20'", None),
    ),
    (
        "one bound missing",
        edited(PARALLEL, "{from: 4}").replace(
            "  robot.battery.parallel:", "  §robot.battery.parallel:"
        ),
        (f"{PARALLEL}.to", "nothing", "a whole number, such as '20'", None),
    ),
    (
        "a scale that there is not",
        edited(f"{RATIO}.scale", "§lgo"),
        (f"{RATIO}.scale", "'lgo'", "one of: linear, log", "log"),
    ),
    (
        "a log scale from 0",
        edited(
            "variables.robot.drives.hip_pitch.spring.stiffness",
            "{from: §0 N*m/rad, to: 150 N*m/rad, scale: log}",
        ),
        (
            "variables.robot.drives.hip_pitch.spring.stiffness.from",
            "'0 N*m/rad'",
            "more than 0 on a log scale",
            None,
        ),
    ),
    (
        "a path that leads nowhere",
        variable("robot.battery.seriess", "{from: 4, to: 24}"),
        (
            "variables.robot.battery.seriess",
            "'robot.battery.seriess', which no value of this study has as its path",
            "the path of a value",
            "robot.battery.series",
        ),
    ),
    (
        "a path that leads to a table",
        variable("robot.frame.foot", "{from: 4 mm, to: 24 mm}"),
        (
            "variables.robot.frame.foot",
            "'robot.frame.foot', which no value of this study has as its path",
            "the path of a value",
            "robot.frame.foot.heel",
        ),
    ),
    (
        "a recorded stride as a variable",
        variable("gaits.brisk.stride", "{choices: [a.csv, b.csv]}"),
        (
            "variables.gaits.brisk.stride",
            "'gaits.brisk.stride', the name of a file",
            "a number, a word or a kind",
            None,
        ),
    ),
    (
        "a gait of a leg as a variable, with one that there is not",
        added(
            "variables.robot.battery.cell",
            "  mission.out.gait: {choices: [steady, §brisc]}",
        ),
        (
            "variables.mission.out.gait.choices.1",
            "'brisc'",
            "one of: steady, brisk, standing",
            "brisk",
        ),
    ),
    (
        "choices for a number",
        edited(PARALLEL, "{§choices: [4, 5]}"),
        (
            f"{PARALLEL}.choices",
            "choices",
            "from and to: robot.battery.parallel is a number",
            None,
        ),
    ),
    (
        "a choice that is not in the table",
        edited(f"{FAMILY}.choices", "[demo-flat, §demo-slm]"),
        (
            f"{FAMILY}.choices.1",
            "'demo-slm'",
            "one of: demo-flat, demo-slim, demo-open",
            "demo-slim",
        ),
    ),
    (
        "a kind that there is not among the choices",
        edited(f"{COOLING}.choices", "[fan, still_air, §fna]"),
        (f"{COOLING}.choices.2", "'fna'", "one of: still_air, fan, still_can, blown_can", "fan"),
    ),
    (
        "a number among the choices",
        edited(f"{COOLING}.choices", "[fan, still_air, §3]"),
        (f"{COOLING}.choices.2", "3", "one of: still_air, fan, still_can, blown_can", None),
    ),
    (
        "nothing among the choices",
        edited(f"{COOLING}.choices", "[fan, still_air, §null]"),
        (f"{COOLING}.choices.2", "nothing", "one of: still_air, fan, still_can, blown_can", None),
    ),
    (
        "a list among the choices",
        edited(f"{COOLING}.choices", "[fan, still_air, §[fan]]"),
        (f"{COOLING}.choices.2", "a list", "one of: still_air, fan, still_can, blown_can", None),
    ),
    (
        "a choice twice",
        edited(f"{COOLING}.choices", "[still_air, fan, §still_air]"),
        (f"{COOLING}.choices.2", "'still_air' again", "each choice once", None),
    ),
    (
        "one choice",
        edited(f"{FAMILY}.choices", "§[demo-flat]"),
        (
            f"{FAMILY}.choices",
            "one choice",
            "a list of two or more of: demo-flat, demo-slim, demo-open",
            None,
        ),
    ),
    (
        "a word for the list of choices",
        edited(f"{FAMILY}.choices", "§demo-flat"),
        (
            f"{FAMILY}.choices",
            "'demo-flat'",
            "a list of two or more of: demo-flat, demo-slim, demo-open",
            None,
        ),
    ),
    (
        "a scale for choices",
        edited(FAMILY, "{choices: [demo-flat, demo-slim], §scale: log}"),
        (f"{FAMILY}.scale", "scale", "choices: robot.drives.knee.motor.family is a word", None),
    ),
    (
        "a baseline outside its bounds",
        edited("robot.battery.parallel", "§25"),
        (
            "robot.battery.parallel",
            "25, outside the bounds of its variable",
            "a baseline from 4 to 24",
            None,
        ),
    ),
    (
        "a baseline that is none of the choices",
        edited(
            f"{KNEE}.motor.family",
            "§demo-slim",
            edited(f"{FAMILY}.choices", "[demo-open, demo-flat]"),
        ),
        (
            f"{KNEE}.motor.family",
            "'demo-slim', which is none of the variable's choices",
            "one of: demo-flat, demo-open",
            None,
        ),
    ),
]
