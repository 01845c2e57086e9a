"""Mistakes in objectives, limits, mission and search of a study, and how each is told."""

from tests.study.edits import EXAMPLE, STRIDE, Case, edited, without

NAME = "letters, digits, - and _, at most 60 of them, such as levee-rounds"
LIMIT = "'<= value' or '>= value' in quotes, such as '<= 80 kg'"
SINGLE = "a quantity with one value a design, such as range or total_mass"


CASES: list[Case] = [
    # objectives and limits
    (
        "an objective that no stage gives",
        edited("objectives.range", "§rnge", key=True),
        ("objectives.rnge", "'rnge', which no stage of this study gives", SINGLE, "range"),
    ),
    (
        "an objective of many values",
        edited("objectives.range", "§winding_temperature", key=True),
        (
            "objectives.winding_temperature",
            "'winding_temperature', which has a value for every joint and gait",
            SINGLE,
            None,
        ),
    ),
    (
        "an objective without a direction",
        edited("objectives.range", "§null"),
        ("objectives.range", "nothing", "one of: highest, lowest", None),
    ),
    (
        "an objective in another direction",
        edited("objectives.range", "§longest"),
        ("objectives.range", "'longest'", "one of: highest, lowest", None),
    ),
    (
        "no objective",
        without("objectives") + "objectives: §{}\n",
        ("objectives", "an empty table", "at least one quantity, such as 'range: highest'", None),
    ),
    (
        "a limit that no stage gives",
        edited("limits.endurance", "§endurence", key=True),
        (
            "limits.endurence",
            "'endurence', which no stage of this study gives as a number",
            "a quantity, or one at a joint",
            "endurance",
        ),
    ),
    (
        "a limit on a matrix",
        edited("limits.endurance", "§inertia", key=True),
        (
            "limits.inertia",
            "'inertia', which no stage of this study gives as a number",
            "a quantity, or one at a joint",
            "rotor_inertia",
        ),
    ),
    (
        "a limit on a joint that there is not",
        edited("limits.winding_temperature", "§winding_temperature.kne", key=True),
        (
            "limits.winding_temperature.kne",
            "'winding_temperature.kne', where 'kne' is no joint",
            "winding_temperature alone or with one of: hip_yaw, hip_roll, ...",
            "winding_temperature.knee",
        ),
    ),
    (
        "a limit on no joint",
        edited("limits.winding_temperature", "§winding_temperature.", key=True),
        (
            "limits.winding_temperature.",
            "'winding_temperature.', where '' is no joint",
            "winding_temperature alone or with ...",
            "winding_temperature.knee",
        ),
    ),
    (
        "a limit on a joint of what has none",
        edited("limits.total_mass", "§total_mass.knee", key=True),
        (
            "limits.total_mass.knee",
            "'total_mass.knee', which has no joints",
            "'total_mass' alone",
            None,
        ),
    ),
    (
        "a limit without a sign",
        edited("limits.endurance", "§4 h"),
        ("limits.endurance", "'4 h'", LIMIT, None),
    ),
    (
        "a limit with half a sign",
        edited("limits.endurance", "§'> 4 h'"),
        ("limits.endurance", "'> 4 h'", LIMIT, None),
    ),
    (
        "a limit without a value",
        edited("limits.endurance", "§'>='"),
        ("limits.endurance", "nothing", "a time in s, such as '0.7 s'", None),
    ),
    (
        "a number for a limit",
        edited("limits.endurance", "§4"),
        ("limits.endurance", "4", LIMIT, None),
    ),
    (
        "a limit of another dimension",
        edited("limits.winding_temperature", "§'<= 120 kg'"),
        (
            "limits.winding_temperature",
            "'120 kg', which is a mass",
            "a temperature in K, such as '40 degC'",
            None,
        ),
    ),
    (
        "an upper limit on a margin",
        edited("limits.voltage_margin", "§'<= 10 %'"),
        (
            "limits.voltage_margin",
            "'<= 10 %'",
            "'>= 10 %': a margin is what is left, and more of it is no fault",
            None,
        ),
    ),
    # gaits and mission
    (
        "a leg in a gait that there is not",
        edited("mission.inspection.gait", "§stnding"),
        (
            "mission.inspection.gait",
            "'stnding'",
            "one of: steady, brisk, standing",
            "standing",
        ),
    ),
    (
        "a leg without a gait",
        EXAMPLE.replace("  out: {gait: steady, ", "  §out: {"),
        ("mission.out.gait", "nothing", "one of: steady, brisk, standing", None),
    ),
    (
        "a leg with a dot in its name",
        edited("mission.out", "§o.ut", key=True),
        ("mission.o.ut", "'o.ut'", NAME, None),
    ),
    (
        "a leg that is no table",
        edited("mission.out", "§900 m"),
        (
            "mission.out",
            "'900 m'",
            "one of: distance, time, sit, or a table with that kind",
            None,
        ),
    ),
    (
        "a gait with a dot in its name",
        edited("gaits.steady", "§stea.dy", edited("mission.out.gait", "brisk"), key=True),
        ("gaits.stea.dy", "'stea.dy'", NAME, None),
    ),
    (
        "a gait with a space in its name",
        edited("gaits.steady", "§up hill", edited("mission.out.gait", "brisk"), key=True),
        ("gaits.up hill", "'up hill'", NAME, None),
    ),
    # name, format, search
    (
        "a name with a space",
        edited("name", "§levee rounds"),
        ("name", "'levee rounds'", NAME, None),
    ),
    ("a number for a name", edited("name", "§2026"), ("name", "2026", NAME, None)),
    ("an empty name", edited("name", "§''"), ("name", "''", NAME, None)),
    ("dashes for a name", edited("name", "§'--'"), ("name", "'--'", NAME, None)),
    (
        "a long name",
        edited("name", "§" + "a" * 61),
        ("name", "'" + "a" * 40 + "'... of 61 characters", NAME, None),
    ),
    (
        "a later format",
        edited("format", "§2"),
        ("format", "2", "1, the format that this version reads", None),
    ),
    (
        "a format in quotes",
        edited("format", "§'1'"),
        ("format", "'1'", "1, the format that this version reads", None),
    ),
    (
        "true for the format",
        edited("format", "§true"),
        ("format", "true", "1, the format that this version reads", None),
    ),
    (
        "a list for the note",
        edited("note", "§[a]", EXAMPLE.replace(": How far", ": x #")),
        ("note", "a list", "a text", None),
    ),
    (
        "a negative time",
        edited("search.time", "§-2 min"),
        ("search.time", "'-2 min'", "more than 0 s", None),
    ),
    (
        "a time without a unit",
        edited("search.time", "§120"),
        ("search.time", "'120', a number without a unit", "a time in s, such as '0.7 s'", None),
    ),
    (
        "a word for a seed",
        edited("search.seed", "§seven"),
        (
            "search.seed",
            "'seven', which does not start with a number",
            "a whole number, such as '100'",
            None,
        ),
    ),
    (
        "true for a seed",
        edited("search.seed", "§true"),
        ("search.seed", "true", "a whole number, such as '100'", None),
    ),
    ("a seed below 0", edited("search.seed", "§-1"), ("search.seed", "-1", "at least 0", None)),
    (
        "a seed beyond 32 bits",
        edited("search.seed", "§4294967296"),
        ("search.seed", "4294967296", "at most 4294967295", None),
    ),
    (
        "no designs",
        edited("search.seed", "7, designs: §0"),
        ("search.designs", "0", "at least 1", None),
    ),
    (
        "an unknown sampler",
        edited("search.seed", "7, sampler: §nsga4"),
        ("search.sampler", "'nsga4'", "one of: nsga2, nsga3, tpe, gp, qmc, random", "nsga3"),
    ),
    # recorded strides, as the study names them
    (
        "a number for a stride",
        edited("gaits.brisk.stride", "§4"),
        ("gaits.brisk.stride", "4", "the name of a CSV file beside the study file", None),
    ),
    (
        "a stride that was not given",
        edited("gaits.brisk.stride", "§levee_brsk.csv"),
        ("gaits.brisk.stride", "'levee_brsk.csv'", f"a file that was given: {STRIDE}", STRIDE),
    ),
]
