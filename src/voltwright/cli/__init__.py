"""The command line: thin, for every use case is in services; whatever goes wrong ends in words and an exit code."""

from voltwright.cli.commands import app, main

__all__ = ["app", "main"]
