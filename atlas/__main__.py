"""`python -m atlas` is the command `reach-atlas`."""

from atlas.cli import main

if __name__ == "__main__":  # worker processes import this module too
    main()
