"""Starts `matbook` over and over: everything is imported once, and each start is a fork of that.

Reads lines on its standard input, each in JSON what would be said to `matbook` and settings of its
environment, and answers each with the number of the process that runs it. The servers are as real
as any other: the same command, in a process of its own, which can be killed. It ends when its
input does.
"""

import json
import os
import signal
import sys

import matbook.server.app
import matbook.server.running  # noqa: F401
from matbook.cli import run


def main() -> None:
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # whoever ended is gone at once
    running = []
    for line in sys.stdin:
        process = os.fork()
        if process == 0:
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            nothing = os.open(os.devnull, os.O_RDWR)
            for standard in (0, 1, 2):
                os.dup2(nothing, standard)
            said, settings = json.loads(line)
            sys.argv = ["matbook", *said]
            os.environ.update(settings)
            run()
        running.append(process)
        print(process, flush=True)


if __name__ == "__main__":
    main()
