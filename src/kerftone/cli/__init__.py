"""The command line: `kerftone new`, `modes`, `fit`, `hear`, `layout`, `plan`; declared in `app`."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command line of this process; ends it with its exit code (see `failure`)."""
    try:
        from kerftone.cli.app import app

        app()
    except KeyboardInterrupt:  # already while the program was loading
        sys.exit(130)
