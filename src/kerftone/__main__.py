"""`python -m kerftone`: the same as the command `kerftone`."""

from kerftone.cli import main

main()
