"""`python -m coolcheck` is the command itself."""

from coolcheck.cli import main

if __name__ == "__main__":
    main()
