"""The group of commands. Each command's module is imported only when it is called."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import NoReturn

import click

from linter import __version__
from linter.cli.screen import Unusable, keep_quiet_after_broken_pipe, tell_plainly

# Name -> (module, one line for the overview). The overview must not import the modules: it is shown by every mistyped call.
_COMMANDS = {
    "check": ("linter.cli.check", "Hold descriptions against practices; the main job."),
    "ask": ("linter.cli.ask", "Which few facts to find out first, and how."),
    "facts": ("linter.cli.facts", "Computed facts, each with its working."),
    "size": ("linter.cli.size", "The smallest conductor for a run, and the fuse that fits it."),
    "begin": ("linter.cli.begin", "Lay out a first house pack."),
    "pack": ("linter.cli.pack", "Prove, print, weigh, tidy and look up packs of practices."),
}


class Lazy(click.Group):
    """A group that imports a command when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order of use, not of the alphabet."""
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, or None."""
        if cmd_name not in _COMMANDS:
            return None
        command: click.Command = import_module(_COMMANDS[cmd_name][0]).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The overview, from the table."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, said) for name, (_, said) in _COMMANDS.items()])

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest command offered."""
        from linter.base.near import nearest

        if args and args[0] not in _COMMANDS and not args[0].startswith("-"):
            near = nearest(args[0], _COMMANDS)
            ctx.fail(f'There is no command "{args[0]}".' + (f' Did you mean "{near}"?' if near else f" There are: {', '.join(_COMMANDS)}."))
        return super().resolve_command(ctx, args)


@click.command(cls=Lazy, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(__version__, prog_name="tugtest", message="%(prog)s %(version)s")
def tugtest() -> None:
    """Hold a described low-voltage vehicle installation against shared, written-down practice, in every operating state.

    It follows generic practice, not your local code, and replaces no qualified installer.
    """


def run(arguments: list[str] | None = None) -> NoReturn:
    """Runs the command and ends the process: 0, 1, 2 or 3 as the README says; never a traceback for what a person typed."""
    try:
        status = tugtest.main(arguments, standalone_mode=False)
    except Unusable as unusable:
        tell_plainly(unusable.headline, unusable.labels)
        status = 2
    except click.ClickException as wrong:
        usage = wrong.ctx.get_usage() if isinstance(wrong, click.UsageError) and wrong.ctx else ""
        help_line = f"{wrong.ctx.command_path} --help" if isinstance(wrong, click.UsageError) and wrong.ctx else "tugtest --help"
        tell_plainly(wrong.format_message(), [("Usage", usage.removeprefix("Usage: ")), ("More", help_line)])
        status = 2
    except (click.Abort, KeyboardInterrupt):
        status = 130
    except BrokenPipeError:
        keep_quiet_after_broken_pipe()
        status = 0
    sys.exit(status if isinstance(status, int) else 0)
