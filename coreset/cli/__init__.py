"""The command: `coreset assess | brief | lift | new | import | export | check | app`."""

from coreset.cli.command import main

__all__ = ["main"]
