"""The command line: `app`, and `run`, which turns every end into an exit code and one clear message."""

from __future__ import annotations

import gc
import io
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Annotated

os.environ.setdefault("TYPER_USE_RICH", "0")  # before typer is imported: no boxes, and 100 ms less
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for plugins walks every installed package: 30 ms
gc.set_threshold(100_000, 50, 50)  # nothing made while starting is garbage; collecting it over and over costs 50 ms and more
import typer

from diagnose import __version__
from diagnose.cli.lazy import LazyGroup
from diagnose.errors import DiagnoseError, Problem

EXIT_CODES = """\
Exit codes: 0 done; 1 the readings cannot be judged; 2 the case, an option or an answer cannot be understood; 3 the knowledge
cannot be used; 4 a defect in this program; 130 stopped by Ctrl-C.
With --json every outcome, errors too, is exactly one JSON document on standard output.
"""
DEFECT = 4
STOPPED = 130
# The command-line library's own error, found by name: newer versions of typer carry their own copy of the library below.
_UsageError: type[Exception] = next(c for c in typer.BadParameter.__mro__ if c.__name__ == "ClickException" and issubclass(c, Exception))

app = typer.Typer(
    cls=LazyGroup,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="A second mechanic for engine cooling systems: what you found goes in, a ranked and explained diagnosis comes out.\n\n"
    "First steps: 'diagnose assess --demo', then 'diagnose new my-case.yaml'.",
    epilog=EXIT_CODES,
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"diagnose {__version__}")
        raise typer.Exit()


@app.callback()
def _main(
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.", callback=_version, is_eager=True)] = False,
) -> None:
    """A second mechanic for engine cooling systems."""


def run(args: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code. Lets no exception out and prints no traceback (but see DIAGNOSE_DEBUG)."""
    if args is None:
        _console()
    words = list(sys.argv[1:] if args is None else args)
    as_json = "--json" in (words[: words.index("--")] if "--" in words else words)
    try:
        with _held(as_json):
            result = typer.main.get_command(app).main(args=words, prog_name="diagnose", standalone_mode=False)
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except DiagnoseError as error:
        return _tell(error.problems, error.exit_code, as_json)
    except _UsageError as error:
        return _usage(error, as_json)
    except (KeyboardInterrupt, typer.Abort):
        return STOPPED
    except BrokenPipeError:
        _hush()
        return 0
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 1
    except Exception as error:
        return _defect(error, as_json)


@contextmanager
def _held(hold: bool) -> Iterator[None]:
    """Keep standard output back until the command has ended well: a JSON answer that was begun is not followed by another."""
    if not hold:
        yield
        return
    real, raw = sys.stdout, io.BytesIO()
    held = io.TextIOWrapper(raw, encoding="utf-8", newline="\n")
    sys.stdout = held
    try:
        yield
    finally:
        sys.stdout = real
    held.flush()
    typer.echo(raw.getvalue(), nl=False)


def _console() -> None:
    """Settings of a process of our own: quiet on a closed pipe, no crash on a letter that the terminal lacks, one thread."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # same sums in the same order, and a quicker start
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    import signal

    if hasattr(signal, "SIGPIPE"):
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)


def _hush() -> None:
    """After a closed pipe, let nothing more be written when the interpreter ends."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError, AttributeError):
        return


def _usage(error: Exception, as_json: bool) -> int:
    message = str(error.format_message())  # type: ignore[attr-defined]
    context = getattr(error, "ctx", None)
    if type(error).__name__ == "NoArgsIsHelpError":
        typer.echo(message)
        return 2
    hint = f"See '{context.command_path} --help'." if context else "See 'diagnose --help'."
    return _tell((Problem(" ".join(message.split()), allowed=hint),), 2, as_json)


def _tell(problems: Sequence[Problem], code: int, as_json: bool) -> int:
    if as_json:
        from diagnose.cli.output import print_json
        from diagnose.report.problems import error_document

        print_json(error_document(problems, code))
    else:
        for problem in problems:
            typer.echo(f"diagnose: {_said(problem)}", err=True)
    return code


def _said(problem: Problem) -> str:
    place = f"{problem.file}:{problem.line}: " if problem.file and problem.line else f"{problem.file}: " if problem.file else ""
    stop = "" if problem.message[-1:] in ".!?" else "."
    return f"{place}{problem.message}{stop} {problem.allowed}".strip()


def _defect(error: Exception, as_json: bool) -> int:
    if os.environ.get("DIAGNOSE_DEBUG") == "1":
        import traceback

        traceback.print_exception(error)
    last = error.__traceback__
    while last and last.tb_next:
        last = last.tb_next
    place = f" at {os.path.basename(last.tb_frame.f_code.co_filename)}:{last.tb_lineno}" if last else ""
    python = ".".join(map(str, sys.version_info[:3]))
    message = f"This is a defect in the program, not in your input: {type(error).__name__}: {error}{place}."
    report = (
        f"Please report this line, the command, the case file, diagnose {__version__} and Python {python}. "
        "DIAGNOSE_DEBUG=1 shows where it went wrong in full."
    )
    return _tell((Problem(" ".join(message.split()), allowed=report),), DEFECT, as_json)
