"""Walking kinematics and inverse dynamics of one leg, linear in the masses.

Conventions, fixed for every file of this package:

- The walking frame moves along the ground at the mean speed: x forward (up the slope), y to the
  left, z normal to the ground, origin on the ground. The base frame sits on the torso, at the
  mid-point of the two hip centres.
- Joints of a leg, in order: hip_yaw (about z), hip_roll (x), hip_pitch (y), knee (-y),
  ankle_pitch (y), ankle_roll (x). Angle, speed and torque of a joint belong together, so that
  power is torque times speed. Positive extends the leg against gravity: hip_pitch swings the leg
  backward, the knee straightens (a bent knee has a negative angle, a straight one is 0),
  ankle_pitch pushes the toe down.
- Arrays are those of the left leg. The right leg is its mirror image half a stride later.
- Bodies, in order: torso, hip_yaw, hip_roll, thigh, shank, ankle, foot. The origin of a body is
  the joint it hangs from; that of the torso is the base frame. The ankle is the cross between
  ankle_pitch and ankle_roll.
- Inertial parameters of a body, in order: mass, mass times centre (3), Ixx, Ixy, Iyy, Ixz, Iyz,
  Izz, all about the origin of the body [kg, kg m, kg m2].
- A wrench is a force [N] above a moment [N m], in the axes of the walking frame.
- Axes of arrays: component (or joint) before phase; phase is always the last axis.
"""
