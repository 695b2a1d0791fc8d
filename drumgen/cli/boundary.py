"""The one place where errors become exit codes.

| code | meaning |
|---|---|
| 0 | done |
| 1 | ``check`` or ``assess`` found what it looks for |
| 2 | bad input, nothing written |
| 3 | a bug of drumgen's own |
| 4 | ``book`` made all but what is broken |
| 130 | interrupted (0 for ``play``) |
"""

from __future__ import annotations

import os
import sys
from typing import TextIO, TypeGuard

DONE, FOUND, BAD_INPUT, BUG, ALL_BUT_BROKEN, INTERRUPTED = 0, 1, 2, 3, 4, 130


def main(arguments: list[str]) -> int:
    """Run one command line, and the exit code that it ends with."""
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")  # looking for them reads every installed package
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # numpy would start threads for matrices that nobody multiplies
    _open_closed()
    for stream in (sys.stdout, sys.stderr):
        _soften(stream)
    try:
        code = _run(arguments)
        code = _flushed(code)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        return _seen_enough()
    except SystemExit as ending:  # typer's own answer to a closed pipe
        if isinstance(ending.__context__, BrokenPipeError):
            return _seen_enough()
        raise
    return code


def heed_endings() -> None:
    """Let a terminal that is closed, or a request to end, break a command off as Ctrl-C does, and clear away.

    What was ignored from the start (by ``nohup``) stays so, and so does all that comes after the first of them.
    """
    import signal  # noqa: PLC0415 - as little as can be before the boundary

    def interrupt(*_: object) -> None:
        for ending in heeded:
            signal.signal(ending, signal.SIG_IGN)
        raise KeyboardInterrupt

    found = (getattr(signal, name, None) for name in ("SIGTERM", "SIGHUP"))  # Windows has the first alone
    heeded = [ending for ending in found if ending is not None and signal.getsignal(ending) == signal.SIG_DFL]
    for ending in heeded:
        signal.signal(ending, interrupt)


def _seen_enough() -> int:
    """Whoever read our output has closed it: no error, and nothing more is said."""
    from drumgen.cli.saying import to_nowhere  # noqa: PLC0415 - as above

    to_nowhere(sys.stdout)
    return DONE


def _open_closed() -> None:
    """Let what goes to a stream that was closed from the start go nowhere, not to a file that takes its number.

    Processes that are started have it too.
    """
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            nowhere = open(os.devnull, mode, encoding="utf-8")  # noqa: PTH123, SIM115 - open to the end
            os.set_inheritable(nowhere.fileno(), True)  # noqa: FBT003 - as it is called
            setattr(sys, name, nowhere)


def _soften(stream: TextIO) -> None:
    """Let a console that cannot show a sign show a question mark instead of failing."""
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="replace")


def _run(arguments: list[str]) -> int:
    import typer  # noqa: PLC0415 - inside the boundary

    from drumgen.cli.program import make_program  # noqa: PLC0415 - as above
    from drumgen.errors import DrumgenError  # noqa: PLC0415 - as above

    try:
        outcome = make_program()(args=arguments, prog_name="drumgen", standalone_mode=False)
    except DrumgenError as error:
        return _refuse(str(error))
    except typer.TyperException as error:
        return _refuse(_usage_text(error, arguments))
    except typer.Abort:
        return INTERRUPTED
    except (KeyboardInterrupt, BrokenPipeError):
        raise
    except (OSError, MemoryError) as error:
        return _refuse(_refusal(error))
    except Exception as error:  # noqa: BLE001 - the last line of defence: our own bug, reported as one
        return _refuse(_unnamable(error)) if _is_of_a_name(error) else _report_bug()
    return outcome if isinstance(outcome, int) else DONE


def _refusal(error: OSError | MemoryError) -> str:
    """What the system refuses, in a line: a name that is too long, a file where a folder should be, more memory."""
    from drumgen.errors import Fault, reason_of  # noqa: PLC0415 - as above

    if isinstance(error, MemoryError):
        return "there is not enough memory for so much at once: fewer bars, or fewer --times, take less"
    reason = reason_of(error)
    if error.filename is None:
        return str(Fault(f"the output cannot be written: {reason}"))
    return str(Fault(f"cannot be used: {reason}", file=str(error.filename)))


def _is_of_a_name(error: Exception) -> TypeGuard[UnicodeEncodeError]:
    """Whether the system's own encoding has no letters for a file's name: what is in files is UTF-8 always."""
    return isinstance(error, UnicodeEncodeError) and error.encoding != "utf-8"


def _unnamable(error: UnicodeEncodeError) -> str:
    from drumgen.errors import Fault  # noqa: PLC0415 - as above

    rule = f"a name in letters that this system has, which says they are {error.encoding} (PYTHONUTF8=1 takes all)"
    return str(Fault(rule, got=f'"{error.object}"'))


def _flushed(code: int) -> int:
    """The exit code, once everything that was printed is written."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        from drumgen.cli.saying import to_nowhere  # noqa: PLC0415 - as above

        if code != BAD_INPUT:
            _refuse(_refusal(error))
        to_nowhere(sys.stdout)
        return BAD_INPUT
    return code


def _refuse(text: str) -> int:
    from drumgen.cli.saying import tell  # noqa: PLC0415 - as above

    tell(text)
    return BAD_INPUT


def _usage_text(error: Exception, arguments: list[str]) -> str:
    """A usage error in one line; a sticking that begins with a rest is told how to be written."""
    format_message = getattr(error, "format_message", None)
    message = str(format_message() if format_message else error).rstrip(".")
    if type(error).__name__ == "NoArgsIsHelpError":  # its message is the help
        return message
    for typers, plain in _PLAIN.items():
        message = message.replace(typers, plain)
    dashed = next((each for each in arguments if _is_dashed_sticking(each)), None)
    if dashed is not None and "--" not in arguments:
        before = arguments[: arguments.index(dashed)]
        after = arguments[arguments.index(dashed) + 1 :]
        quoted = (f'"{each}"' if " " in each else each for each in (*before, *after, "--", dashed))
        better = " ".join(["drumgen", *quoted])
        return f'"{dashed}" looks like an option; put -- before a sticking that begins with a rest: {better}'
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "drumgen"
    return f"{message[:1].lower()}{message[1:]} (see {path} --help)"


_PLAIN = {
    "Input should be a valid integer, unable to parse string as an integer": "expected a whole number",
    "Input should be a valid integer": "expected a whole number",
    "Input should be a valid number, unable to parse string as a number": "expected a number",
}
"""What typer says of a value, and what it means."""


def _is_dashed_sticking(text: str) -> bool:
    return text.startswith("-") and len(text) > 1 and set(text) <= set("-RLBKHrlz>() |") and text.strip("-") != ""


def _report_bug() -> int:
    import platform  # noqa: PLC0415 - only here
    import traceback  # noqa: PLC0415 - only here

    from drumgen import __version__  # noqa: PLC0415 - only here

    print(f"a bug in drumgen {__version__} (Python {platform.python_version()}), not in your file:", file=sys.stderr)
    traceback.print_exc()
    return BUG
