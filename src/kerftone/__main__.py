"""`python -m kerftone`: the same as the command `kerftone`."""

from kerftone.cli import main

if __name__ == "__main__":  # a process of our own that is spawned loads this file too
    main()
