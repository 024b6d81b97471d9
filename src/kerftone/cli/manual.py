"""`python -m kerftone.cli.manual`: the reference of the command line, from the commands' help.

Written to docs/cli.md by `make docs`; a test compares the two.
"""

from __future__ import annotations

import sys

from kerftone.cli.declarations import named
from kerftone.cli.help import help_page

HEAD = """# Commands

Written by `make docs` from the commands themselves; do not edit by hand.

Results go to stdout, progress and remarks to stderr. With `--json` the result is one JSON document. Exit
codes: 0 done; 1 a fault of the program; 2 a mistake you can mend, told in one message, or an option that does
not exist; 3 from `plan`, where all is written but the drum does not sound its notes;
130 stopped with Ctrl-C. With `--json` a mistake is also told on stdout, as `{"error": {...}}`.
"""


def manual() -> str:
    """The whole page, as Markdown: the help of every command, as a terminal shows it."""
    pages = [f"## kerftone {words}\n\n{_shown(words)}" for words in named()]
    return "\n".join([HEAD, _shown(""), *pages])


def _shown(words: str) -> str:
    return f"```text\n{help_page(f'kerftone {words}'.strip())}\n```\n"


if __name__ == "__main__":
    sys.stdout.write(manual())
