"""``drumgen schema``: the JSON Schema of the files, for editors."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from pydantic import BaseModel


def command(
    which: Annotated[
        str, typer.Argument(metavar="[phrase|kit|book]", help="Of phrase files, of kit files, or of book files.")
    ] = "phrase",
) -> None:
    """Print the JSON Schema of phrase, kit or book files.

    An editor that knows it checks a file while it is written. drumgen schema > phrase.schema.json
    """
    from drumgen.errors import fail  # noqa: PLC0415 - commands import late
    from drumgen.spec.book_file import BookFile  # noqa: PLC0415 - as above
    from drumgen.spec.kit_file import KitFile  # noqa: PLC0415 - as above
    from drumgen.spec.phrase_file import PhraseFile  # noqa: PLC0415 - as above

    models: dict[str, type[BaseModel]] = {"phrase": PhraseFile, "kit": KitFile, "book": BookFile}
    if which not in models:
        raise fail("phrase, kit or book", got=f'"{which}"')
    schema = models[which].model_json_schema()
    print(json.dumps({"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}, indent=2))
