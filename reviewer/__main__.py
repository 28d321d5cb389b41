"""``python -m reviewer``."""

from reviewer.cli.main import main

if __name__ == "__main__":
    main()
