"""`python3 -m mentor_training`: makes sure that the libraries are there, then runs the command line."""

from mentor_training import bootstrap

bootstrap.enter("mentor_training")

from mentor_training.cli import main  # noqa: E402 - Click is there only from here on

main()
