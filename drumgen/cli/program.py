"""The commands by name. Each is imported only when it is run, so that help and start-up stay quick."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import typer
from typer.core import TyperGroup

COMMANDS: dict[str, str] = {
    "render": "Write phrases to files: MIDI, audio, sheets, an audition page.",
    "play": "Hear phrases at once: opens their audition page in the browser, or plays to a MIDI port.",
    "show": "Show a phrase's bars as text, under the spoken counts.",
    "check": "Say what is wrong or odd in phrases, and up to what tempo they can be played.",
    "new": "Write a phrase file from a sticking or a rudiment.",
    "vary": "Find other orchestrations of the same sticking, as phrase files.",
    "lesson": "Write a graded lesson from one sticking, as a folder of phrases and all their files.",
    "book": "Make every file of a folder of phrases: a course, or a set list.",
    "transcribe": "Work out who played what: subdivisions, hands, feet, levels and rudiments.",
    "assess": "Compare a take with the phrase: timing, dynamics, what was missed, added or on another voice.",
    "rudiments": "List the forty rudiments, or find some of them.",
    "kits": "List the kits, or the voices of one.",
    "schema": "Print the JSON Schema of phrase, kit or book files, for editors.",
}
"""Every command and its line of help, in the order of the help."""


SUBCOMMANDS: dict[str, tuple[str, ...]] = {"kits": ("learn", "remap")}
"""Commands of two words; each is a module of its own, ``kits_learn``."""


class Commands(TyperGroup):
    """The group of all commands, each made when it is asked for."""

    def list_commands(self, ctx: Any) -> list[str]:  # noqa: ANN401, ARG002 - typer's own signature
        """Their names."""
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:  # noqa: ANN401, ARG002 - typer's own signature
        """One command, or None."""
        first, _, second = cmd_name.partition(" ")
        if first not in COMMANDS or (second and second not in SUBCOMMANDS.get(first, ())):
            return None
        module = import_module(f"drumgen.cli.{cmd_name.replace(' ', '_')}")
        app = typer.Typer(add_completion=False, rich_markup_mode=None)
        app.command(name=cmd_name)(module.command)
        return _with_shared_readers(typer.main.get_command(app))

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:  # noqa: ANN401 - typer's own signature
        """The command that a line begins with, of one word or two."""
        if args[1:2] and args[1] in SUBCOMMANDS.get(args[0], ()):
            name = " ".join(args[:2])
            return name, self.get_command(ctx, name), args[2:]
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401, ARG002 - typer's own signature
        """The list of commands in the help, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _with_shared_readers(command: Any) -> Any:  # noqa: ANN401 - typer's own command type is private
    """A command whose parameters of one type share what reads them: making that for each would double the start-up."""
    shared: dict[Any, Any] = {}
    for parameter in command.params:
        descriptor = getattr(parameter, "type_descriptor", None)
        if descriptor is not None:
            own = parameter.get_runtime_param
            parameter.get_runtime_param = shared.setdefault(descriptor.annotation, own)
    return command


def _show_version(value: bool) -> None:  # noqa: FBT001 - a flag's callback
    if value:
        from drumgen import __version__  # noqa: PLC0415 - only here

        typer.echo(f"drumgen {__version__}")
        raise typer.Exit


def make_program() -> Any:  # noqa: ANN401 - typer's own command type is private
    """The whole command line."""
    app = typer.Typer(
        cls=Commands,
        add_completion=False,
        rich_markup_mode=None,
        no_args_is_help=True,
        context_settings={"help_option_names": ["-h", "--help"]},
    )

    @app.callback()
    def drumgen(
        version: bool = typer.Option(  # noqa: FBT001 - a flag
            False,  # noqa: FBT003 - as above
            "--version",
            callback=_show_version,
            is_eager=True,
            help="Show the version and end.",
        ),
    ) -> None:
        """Stickings become grooves, fills and phrases for the drum kit, and files people play."""

    return typer.main.get_command(app)
