"""``python -m optimizer`` is the command ``leastkit``."""

from optimizer.cli import main

if __name__ == "__main__":
    main()
