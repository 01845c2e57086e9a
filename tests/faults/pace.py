"""How long tests wait; apart from all else, for what imports much starts slowly."""

from tradeopt.services.keeper import Rhythm

BRISK = Rhythm(lease=3.0, hang=6.0, deadman=6.0)
"""All that a worker is waited for, in seconds that a test has."""

BRISK_LINE = {"socket_timeout": 2, "health_check_interval": 1}
"""How long a broker is waited for that does not answer [s]."""

START = 30.0
"""Seconds in which processes start on a machine that does much else; an idle one takes four."""

BOUND = BRISK.lease + BRISK.beat + START
"""Seconds in which work goes on, whatever has died: a lease, a sweep and a start."""
