"""SVG: pages of a sheet as standalone SVG 1.1 files.

Music signs are outlines in ``defs``, used by references that resolve; words are text in a generic font family; there
are no style sheets, scripts, embedded fonts or links. One unit is a hundredth of a millimetre.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.sheet.glyphs import outline
from drumgen.sheet.ink import Dot, Fill, Glyph, Group, Polyline, Words
from drumgen.sheet.numerals import number
from drumgen.sheet.xml import document, node, nodes

if TYPE_CHECKING:
    from collections.abc import Iterable
    from xml.etree.ElementTree import Element

    from drumgen.sheet.ink import Mark
    from drumgen.sheet.sheets import Page

_UNITS_PER_MM = 100


def page_svg(page: Page, *, title: str, prefix: str = "") -> str:
    """The text of one page; ``prefix`` tells the ids of its signs from those of other pages in one document."""
    drawing = [_element(mark, prefix) for mark in page.marks]
    used = dict.fromkeys(code for mark in page.marks for code in _codes(mark))
    root = node(
        "svg",
        node("title", title) if title else None,
        nodes("defs", (node("path", id=f"{prefix}{code}", d=outline(code)) for code in sorted(used))),
        node("rect", width=number(page.width), height=number(page.height), fill="#fff"),
        nodes("g", drawing, fill="#000", stroke="none"),
        xmlns="http://www.w3.org/2000/svg",
        version="1.1",
        width=f"{number(page.width / _UNITS_PER_MM)}mm",
        height=f"{number(page.height / _UNITS_PER_MM)}mm",
        viewBox=f"0 0 {number(page.width)} {number(page.height)}",
    )
    root.set("xmlns:xlink", "http://www.w3.org/1999/xlink")
    return document(root, indented=False)


def path_data(points: Iterable[tuple[float, float]]) -> str:
    """A line through points, as the data of a path."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def placed(glyph: Glyph) -> str:
    """The transform that puts a sign's outline, whose y is upward, in its place."""
    return f"translate({number(glyph.x)} {number(glyph.y)}) scale({glyph.scale:.5g} {-glyph.scale:.5g})"


def _codes(mark: Mark) -> Iterable[str]:
    if isinstance(mark, Glyph):
        yield mark.code
    elif isinstance(mark, Group):
        for inner in mark.marks:
            yield from _codes(inner)


def _element(mark: Mark, prefix: str) -> Element:
    match mark:
        case Group():
            return _group(mark, prefix)
        case Glyph():
            use = node("use", transform=placed(mark))
            use.set("xlink:href", f"#{prefix}{mark.code}")
            return use
        case Polyline(points, width, square):
            cap = "square" if square else None
            path = path_data(points)
            return node("path", d=path, fill="none", stroke="#000", stroke_width=number(width), stroke_linecap=cap)
        case Fill(points):
            return node("path", d=f"{path_data(points)}z")
        case Dot(x, y, radius):
            return node("circle", cx=number(x), cy=number(y), r=number(radius))
        case Words():
            return _text(mark)


def _group(group: Group, prefix: str) -> Element:
    moved = f"translate({number(group.x)} {number(group.y)})" if group.x or group.y else ""
    scaled = f"scale({group.scale:.6g})" if group.scale != 1 else ""
    return nodes(
        "g",
        (_element(mark, prefix) for mark in group.marks),
        id=group.name or None,
        class_=group.kind or None,
        transform=f"{moved} {scaled}".strip() or None,
    )


def _text(words: Words) -> Element:
    anchor = None if words.anchor == "start" else words.anchor
    attributes = {
        "x": number(words.x),
        "y": number(words.y),
        "font_family": "sans-serif" if words.sans else "serif",
        "font_size": number(words.size),
        "text_anchor": anchor,
    }
    if len(words.runs) == 1:
        return node("text", words.runs[0].text, **attributes, **_style(words.runs[0].bold, words.runs[0].italic))
    spans = [node("tspan", run.text, **_style(run.bold, run.italic)) for run in words.runs]
    element = nodes("text", spans, **attributes)
    element.set("xml:space", "preserve")
    return element


def _style(bold: bool, italic: bool) -> dict[str, str | None]:  # noqa: FBT001 - the two flags of a run
    return {"font_weight": "bold" if bold else None, "font_style": "italic" if italic else None}
