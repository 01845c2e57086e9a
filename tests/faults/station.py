"""A supervisor with workers for the toy study: python -m tests.faults.station URL WORKERS."""

import sys
from contextlib import closing

from tests.faults.scene import BRISK
from tests.services.toy import read_toy
from tradeopt.services.children import WorkJob
from tradeopt.services.signals import stop_on_signal
from tradeopt.services.supervisor import Supervisor
from tradeopt.store.database import Database

if __name__ == "__main__":
    url, count = sys.argv[1], int(sys.argv[2])
    job = WorkJob(url, rhythm=BRISK, read_study=read_toy)
    with (
        closing(Database(url)) as database,
        stop_on_signal() as stopping,
        Supervisor(database, [job] * count) as children,
    ):
        while not stopping.is_set():
            children.watch(0.2)
