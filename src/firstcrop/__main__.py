"""`python -m firstcrop` does what `firstcrop` does."""

from firstcrop.cli import main

main()
