"""`python -m nests`: the command line."""

from nests.cli import main

main()
