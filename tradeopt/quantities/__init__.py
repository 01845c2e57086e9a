"""The glossary: every quantity that passes between stages, with its SI unit, axes and meaning.

Axes. `design` is always first. `joint` are the six driven joints of the left leg, in the order of
`JOINTS`; the right leg is its mirror image half a stride later. `gait` are the gaits of the study
in their order in the file, `phase` the evenly spaced places of one stride, `place` those of a
joint's range, `body` the bodies of `BODIES`, `inertial` the ten inertial parameters of a body (m,
m*c, Ixx, Ixy, Iyy, Ixz, Iyz, Izz about the body's own origin), `axis` x forward, y to the left, z
up. `leg` are the legs of the mission in their order, `joint_group` the counted joints beside the
two legs, `component` the parts that may fail, `task` the tasks of upkeep, all named by the study
file.

Sign. Angle and torque of a joint belong together: torque times speed is the power given to the
leg. Positive extends the leg against gravity: hip_pitch moves the leg backward, knee straightens
it (a bent knee has a negative angle), and ankle_pitch presses the toe down. Roll turns about x,
yaw about z.
"""

from tradeopt.quantities.drive import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.electric_mission import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.energy_upkeep import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.frame_and_mass import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.gait import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.heat import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.layout import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.limb import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.peak import *  # noqa: F403 -- one glossary, cut by theme
from tradeopt.quantities.quantity import *  # noqa: F403 -- one glossary, cut by theme
