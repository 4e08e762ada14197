"""`python -m voltwright` is the command line."""

from voltwright.cli import main

if __name__ == "__main__":
    main()
