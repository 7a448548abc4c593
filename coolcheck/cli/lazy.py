"""A command group that imports a subcommand only when it is used: `--version` and completion stay quick."""

import difflib
import importlib
from collections.abc import Mapping

import click


class LazyGroup(click.Group):
    """Subcommands by name: the module that holds them and one line of help, so that listing them imports nothing.

    The command is the attribute `command` of its module.
    """

    lazy: Mapping[str, tuple[str, str]] = {}

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names in the order they are listed."""
        return list(self.lazy)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now."""
        if cmd_name not in self.lazy:
            return None
        command = importlib.import_module(self.lazy[cmd_name][0]).command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands in the help."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, says) for name, (_, says) in self.lazy.items()])

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        """The command meant by the first argument; a wrong one is answered with the nearest known."""
        name = args[0]
        if name not in self.lazy and not name.startswith("-"):
            near = difflib.get_close_matches(name, self.lazy, 1, 0.5)
            hint = f"; did you mean {near[0]!r}?" if near else f"; there are: {', '.join(self.lazy)}"
            ctx.fail(f"there is no command {name!r}{hint}")
        return super().resolve_command(ctx, args)


def lazy_group(commands: Mapping[str, tuple[str, str]]) -> type[LazyGroup]:
    """A group class with these subcommands."""
    return type("Commands", (LazyGroup,), {"lazy": commands})
