"""The command line: one command a module, one error boundary. Nobody imports it."""

from __future__ import annotations


def run() -> None:
    """The program ``drumgen``."""
    import gc  # noqa: PLC0415 - as below
    import sys  # noqa: PLC0415 - the boundary is imported late, so that its failures are inside it

    gc.set_threshold(100_000)  # starting up makes many values and no rubbish to be looked for
    try:
        from drumgen.cli.boundary import heed_endings, main  # noqa: PLC0415

        heed_endings()
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:  # before the boundary is there
        sys.exit(130)
    finally:
        gc.freeze()  # nor is there any at the end: Python would look through all that is loaded as it closes
