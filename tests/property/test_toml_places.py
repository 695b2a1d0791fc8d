"""The scanner and tomllib agree on every value of every document, however it is written."""

import json
import tomllib
from collections.abc import Iterator
from datetime import date, datetime, time

from hypothesis import given
from hypothesis import strategies as st

from drumgen.spec.toml_places import find_places
from drumgen.spec.toml_scan import KeyPath, scan_spans

Value = str | int | float | bool | date | datetime | time | list["Value"] | dict[str, "Value"]

SIGNS = "aR1& .]}[{,=#'\"\\\n\té日"
KEYS = st.sampled_from(["a", "b-1", "R", "2& 2a"]) | st.text(SIGNS, max_size=4)
LEAVES: st.SearchStrategy[Value] = st.one_of(
    st.text(SIGNS, max_size=8),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.booleans(),
    st.dates(),
    st.times(),
    st.datetimes(),
)
VALUES: st.SearchStrategy[Value] = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=10,
)
TABLES = st.dictionaries(KEYS, VALUES, max_size=5)


class Writer:
    """Writes a table as TOML, each choice of form drawn."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw

    def pick(self, *forms: str) -> str:
        return self.draw(st.sampled_from(forms))

    def space(self) -> str:
        return self.pick("", " ", "\t ")

    def gap(self) -> str:
        return self.pick("", " ", "\n", " # ]}'\"\n", "\n\n  ")

    def key(self, key: str) -> str:
        forms = [json.dumps(key), '"' + "".join(f"\\U{ord(sign):08x}" for sign in key) + '"']
        if key.isascii() and key.replace("-", "").replace("_", "").isalnum():
            forms.append(key)
        if not set(key) & set("'\n"):
            forms.append(f"'{key}'")
        return self.pick(*forms)

    def text(self, text: str) -> str:
        many = text.replace("\\", "\\\\").replace('"""', '""\\"').replace("\r", "\\r")
        forms = [json.dumps(text), f'"""\n{many}"""']
        if not set(text) & set("'\n"):
            forms.append(f"'{text}'")
        if "'''" not in text:
            forms.append(f"'''\n{text}'''")
        return self.pick(*forms)

    def leaf(self, value: str | float | date | time) -> str:
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, bool):
            return str(value).lower()
        if isinstance(value, (date, time)):
            return value.isoformat().replace("T", self.pick("T", " "))
        return repr(value)

    def value(self, value: Value) -> str:
        if isinstance(value, list):
            items = [f"{self.gap()}{self.value(item)}{self.gap()}" for item in value]
            return "[" + ",".join(items) + (self.pick("", ",") if items else "") + self.gap() + "]"
        if isinstance(value, dict):
            pairs = [f"{self.space()}{self.pair(key, inner)}" for key, inner in value.items()]
            return "{" + ",".join(pairs) + self.space() + "}"
        return self.leaf(value)

    def pair(self, key: str, value: Value) -> str:
        """``key = value``, or a dotted key where the value is a table of one key."""
        name = self.key(key)
        while isinstance(value, dict) and len(value) == 1 and self.draw(st.booleans()):
            ((inner, value),) = value.items()
            name += f"{self.space()}.{self.space()}{self.key(inner)}"
        return f"{name}{self.space()}={self.space()}{self.value(value)}{self.space()}"

    def line(self, text: str) -> str:
        return f"{self.pick('', '  ')}{text}{self.pick('', ' # x = [1')}\n{self.pick('', '# y', ' ')}\n"

    def table(self, table: dict[str, Value], header: str) -> str:
        """The pairs first, then tables and arrays of tables that are to have headers."""
        below: list[tuple[str, Value]] = []
        body = ""
        for key, value in table.items():
            if is_tables(value) and self.draw(st.booleans()):
                below.append((key, value))
            else:
                body += self.line(self.pair(key, value))
        return body + "".join(self.headed(header, key, value) for key, value in below)

    def headed(self, header: str, key: str, value: Value) -> str:
        name = f"{header}.{self.key(key)}" if header else self.key(key)
        if isinstance(value, dict):
            return self.line(f"[{name}]") + self.table(value, name)
        return "".join(
            self.line(f"[[{name}]]") + self.table(item, name)
            for item in value  # type: ignore[union-attr]  # is_tables has looked
            if isinstance(item, dict)
        )


def is_tables(value: Value) -> bool:
    """Whether it can stand under headers: a table, or an array of nothing but tables."""
    if isinstance(value, list):
        return bool(value) and all(isinstance(item, dict) for item in value)
    return isinstance(value, dict)


@st.composite
def documents(draw: st.DrawFn) -> str:
    text = Writer(draw).table(draw(TABLES), "")
    return text.replace("\n", draw(st.sampled_from(["\n", "\r\n"])))


def with_plain_line_ends(text: str) -> str:
    """A text as its spans are counted in."""
    return text.replace("\r\n", "\n")


def walk(value: Value, path: KeyPath = ()) -> Iterator[tuple[KeyPath, Value]]:
    yield path, value
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from walk(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from walk(inner, (*path, index))


@given(documents())
def test_every_path_of_the_document_has_a_place_and_no_other(text: str) -> None:
    assert set(find_places(text)) == {path for path, _ in walk(tomllib.loads(text))}


@given(documents().map(with_plain_line_ends))
def test_the_text_at_a_leafs_span_is_that_value(text: str) -> None:
    spans = scan_spans(text)
    for path, value in walk(tomllib.loads(text)):
        if not isinstance(value, (dict, list)):
            assert tomllib.loads(f"v = {text[spans[path].start : spans[path].end]}") == {"v": value}


@given(documents().map(with_plain_line_ends))
def test_the_text_at_a_keys_span_is_that_key(text: str) -> None:
    for path, span in scan_spans(text).items():
        if path and isinstance(path[-1], str):
            assert tomllib.loads(f"{text[span.key_start : span.key_end]} = 0") == {path[-1]: 0}


@given(documents())
def test_a_place_is_the_line_that_its_value_and_its_key_begin_on(text: str) -> None:
    plain = with_plain_line_ends(text)
    spans = scan_spans(plain)
    for path, place in find_places(text).items():
        assert place.line == plain.count("\n", 0, spans[path].start) + 1
        assert place.key_line == plain.count("\n", 0, spans[path].key_start) + 1
