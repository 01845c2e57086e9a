"""Workers for the toy study: python -m tests.faults.station URL WORKERS LEASE HANG.

With 0 workers this process is a worker itself, and nobody replaces it.
"""

import sys
from contextlib import closing
from dataclasses import replace

from tests.faults.pace import BRISK
from tests.services.toy import read_toy
from tradeopt.services.children import WorkJob
from tradeopt.services.signals import stop_on_signal
from tradeopt.services.supervisor import Supervisor
from tradeopt.services.work import new_name
from tradeopt.store.database import Database

if __name__ == "__main__":
    url, count = sys.argv[1], int(sys.argv[2])
    lease, hang = map(float, sys.argv[3:])
    job = WorkJob(url, rhythm=replace(BRISK, lease=lease, hang=hang), read_study=read_toy)
    if count == 0:
        job(new_name(), lambda: None)
        sys.exit()
    with (
        closing(Database(url)) as database,
        stop_on_signal() as stopping,
        Supervisor(database, [job] * count) as children,
    ):
        while not stopping.is_set():
            children.watch(0.2)
