"""`python -m overlay` is the command `overlay`."""

from overlay.cli import main

if __name__ == "__main__":
    main()
