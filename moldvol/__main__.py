"""``python -m moldvol``."""

from moldvol.cli import main

if __name__ == "__main__":
    main()
