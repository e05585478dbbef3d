"""The application inside granian's process, which ends when the process that began it has gone."""

import os
import signal
import threading
import time

from config.wsgi import application

__all__ = ["application"]


def _end_with_parent(parent):
    while os.getppid() == parent:
        time.sleep(1)
    os.kill(os.getpid(), signal.SIGKILL)


threading.Thread(target=_end_with_parent, args=[os.getppid()], daemon=True).start()
