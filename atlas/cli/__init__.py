"""The command line: one file a command; the only place that prints or exits."""


def main() -> None:
    """Run the command `reach-atlas`."""
    from atlas.cli.app import run

    run()
