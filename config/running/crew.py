"""The parts of one run: started, minded, started again when one dies, and stopped together."""

import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from dataclasses import dataclass, field

from django.conf import settings

STOP_SECONDS = 10.0
STEADY_SECONDS = 60.0
LONGEST_PAUSE_SECONDS = 30.0


@dataclass
class Part:
    """A process of the run, leading a process group of its own."""

    name: str
    arguments: list = field(default_factory=list)
    process: subprocess.Popen = None
    began: float = 0.0
    deaths: int = 0
    again_at: float = 0.0

    def start(self, environment, lock):
        self.process = subprocess.Popen(  # noqa: S603
            [sys.executable, "-m", "config.running.part", self.name, *map(str, self.arguments)],
            stdin=subprocess.PIPE,  # ends when this process does: see part.py
            cwd=settings.BASE_DIR,
            env=environment,
            process_group=0,  # Ctrl-C at the terminal reaches `start` alone, which stops them in order
            pass_fds=[lock.fileno()],
        )
        self.began = time.monotonic()

    @property
    def is_running(self):
        return self.process is not None and self.process.poll() is None

    def clear_away(self):
        """Kill whatever the process left behind in its group."""
        with suppress(ProcessLookupError, PermissionError):  # nobody is left; macOS says it the second way
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self.process.stdin.close()


@dataclass
class Crew:
    """All parts of a run.

    `say` takes one line for the person at the terminal. Use it as a context manager: leaving stops
    every part.
    """

    parts: list
    environment: dict
    lock: object
    say: object = field(default=print)

    def __enter__(self):
        for part in self.parts:
            part.start(self.environment, self.lock)
        return self

    def __exit__(self, *failure):
        self.stop()

    def ended(self):
        """The first part that is not running, or None."""
        return next((part for part in self.parts if not part.is_running), None)

    def tend(self):
        """Start parts again that have died: at once the first time, then after ever longer pauses."""
        now = time.monotonic()
        for part in self.parts:
            if part.is_running:
                continue
            if not part.again_at:
                part.deaths = 0 if now - part.began > STEADY_SECONDS else part.deaths
                pause_s = min(2.0**part.deaths - 1, LONGEST_PAUSE_SECONDS)
                self.say(f"The {part.name} ended ({_how(part.process.returncode)}); it is started again.")
                part.deaths += 1
                part.again_at = now + pause_s
                part.clear_away()
            if now >= part.again_at:
                part.again_at = 0.0
                part.start(self.environment, self.lock)

    def renew(self, name, environment):
        """End a part in order and start it again with what it is told now."""
        self.environment = environment
        part = next(part for part in self.parts if part.name == name)
        if part.is_running:
            part.process.terminate()
            with suppress(subprocess.TimeoutExpired):
                part.process.wait(STOP_SECONDS)
            part.clear_away()
            part.start(self.environment, self.lock)

    def stop(self):
        """Ask every part to end, and kill those that do not. Interrupted, it kills them all."""
        started = [part for part in self.parts if part.process is not None]
        try:
            for part in started:
                part.process.terminate()
            deadline = time.monotonic() + STOP_SECONDS
            while any(part.is_running for part in started) and time.monotonic() < deadline:
                time.sleep(0.05)
        finally:
            for part in started:
                part.clear_away()


def _how(returncode):
    return f"signal {-returncode}" if returncode < 0 else f"status {returncode}"
