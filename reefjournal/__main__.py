"""`python -m reefjournal`."""

from reefjournal.cli import main

main(prog_name="reefjournal")
