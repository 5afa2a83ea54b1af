"""``python -m telemetry``: the command line where its script isn't on the path."""

from telemetry.cli import main

if __name__ == "__main__":
    main()
