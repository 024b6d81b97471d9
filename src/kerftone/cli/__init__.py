"""The command line: options, tables and words for a terminal, over `kerftone.jobs`. Terms: docs/glossary.md.

Every command is declared in `commands.toml` or `bench_commands.toml` and put together in `app`.
"""

from __future__ import annotations

import os
import sys

DENSE_LIBRARIES = ("OPENBLAS_NUM_THREADS", "VECLIB_MAXIMUM_THREADS", "MKL_NUM_THREADS")
"""What the libraries for dense matrices ask how many threads to use."""


def main() -> None:
    """Run the command line of this process; ends it with its exit code (see `failure`)."""
    for library in DENSE_LIBRARIES:
        # Our dense matrices are small, and threads that wait for each other are slow beside other busy processes.
        os.environ.setdefault(library, "1")
    try:
        from kerftone.cli.app import app

        app()
    except KeyboardInterrupt:  # already while the program was loading
        sys.exit(130)
