"""The command line. ``main`` is its entry; everything else is fetched when a command needs it."""

from __future__ import annotations

from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit status (see svgfit.cli.app.run).

    Without ``arguments`` it is the whole process: it takes those of the process and sets the process up to be short.
    """
    import sys

    if arguments is not None:
        from svgfit.cli.app import run

        return run(list(arguments))
    import gc
    import os

    # numpy's threads are of no use on matrices as small as ours; starting them costs 8 ms, 50 where a core is busy.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(100_000, 20, 20)  # cycles are few and the run is short: 16 ms less, with the freeze below
    try:
        from svgfit.cli.app import run

        status = run(sys.argv[1:])
    except KeyboardInterrupt:  # while the imports last
        sys.stderr.write("svgfit: interrupted\n")
        return 130
    gc.freeze()
    return status
