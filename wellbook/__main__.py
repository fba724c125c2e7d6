"""`python -m wellbook` is the same program as `wellbook`."""

from wellbook.cli import main

main()
