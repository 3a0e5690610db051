"""`python -m nests`: the command line."""

from nests.faces.cli import main

main()
