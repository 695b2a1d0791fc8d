"""How large the music is on the screens it is read from while it plays, in pixels and in minutes of arc.

What a reader needs: five minutes of arc for a letter that normal sight (20/20) just reads, as on Snellen's charts and
by ISO 8596, whose gaps are one minute; for reading at ease sixteen minutes, better twenty to twenty-two (ISO 9241-303,
from memory). That a letter be a two-hundredth of the distance, 17 minutes, is a rule of thumb.

Four bars of sixteenths are 64 letters. Filling a tablet of ten inches they are five and a half to six minutes at two
metres: normal sight reads them, and is at ease at 0.7 m, where a tablet beside a kit stands; a desktop's screen of 24
inches is read at ease at 1.8 m. What is held here is that four bars are in sight, that they fill the screen, the five
minutes, and on these screens the distances at ease, to a tenth of a metre.
"""

from collections.abc import Callable
from math import atan, degrees, hypot, radians, tan
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from page_room import Opener
from playwright.sync_api import Page

Measured = Callable[[str, object], None]

BARS = 4
SNELLEN_MINUTES = 5
AT_EASE_MINUTES = 16
MM_AN_INCH = 25.4
EIGHT = range(8)


class Screen(NamedTuple):
    """A screen: its pixels as a page counts them, its diagonal, how far off its reader is, the least staff space.

    To ``at_ease_metres`` it is read at ease; 0 is not told.
    """

    width: int
    height: int
    inches: float
    metres: float
    least_space: float
    at_ease_metres: float = 0

    def millimetres(self, pixels: float) -> float:
        return pixels * self.inches / hypot(self.width, self.height) * MM_AN_INCH


SCREENS = {
    "desktop": Screen(1920, 1080, 24, 2, 17, 1.8),
    "laptop": Screen(1280, 800, 13.3, 2, 13),
    "tablet": Screen(1024, 768, 9.7, 2, 11, 0.7),
    "tablet upright": Screen(768, 1024, 9.7, 2, 11, 0.7),
    "phone on its side": Screen(844, 390, 6.1, 0.7, 5.5),
    "phone": Screen(390, 844, 6.1, 0.7, 6.5),
}

SEEN = """async (index) => {
  const { page } = audition;
  page.choose(index);
  const before = page.staff.shown.lines[0].svg.getBoundingClientRect().width;
  await page.start();
  await new Promise(requestAnimationFrame);
  const { staff } = page;
  const room = document.getElementById("music").getBoundingClientRect();
  const lines = staff.shown.lines.filter(({ svg }) => {
    const { top, bottom, width } = svg.getBoundingClientRect();
    return width && top >= room.top - 1 && bottom <= room.bottom + 1;
  });
  const read = staff.shown.measures.filter(({ line, role }) => lines.includes(line) && role !== "landing");
  const [{ svg }] = lines;
  const { width } = svg.getBoundingClientRect();
  const unit = width / svg.viewBox.baseVal.width;
  const [top, bottom] = svg.dataset.staff.split(" ").map(Number);
  const letter = getComputedStyle(svg.querySelector(".letter"));
  const brush = document.createElement("canvas").getContext("2d");
  brush.font = `${letter.fontWeight} ${parseFloat(letter.fontSize) * unit}px ${letter.fontFamily}`;
  const found = {
    title: page.phrase.title,
    bars: read.flatMap(({ bars }) => bars).length,
    lines: lines.length,
    space: ((bottom - top) / 4) * unit,
    letter: brush.measureText("R").actualBoundingBoxAscent,
    wide: width / room.width,
    high: lines.reduce((sum, line) => sum + line.svg.getBoundingClientRect().height, 0) / room.height,
    grown: width / before,
  };
  page.stop();
  return found;
}"""


def minutes_of_arc(millimetres: float, *, metres: float) -> float:
    return 60 * degrees(2 * atan(millimetres / 2000 / metres))


def metres_at(millimetres: float, *, minutes: float) -> float:
    """How far away something is as large as an angle."""
    return millimetres / 2000 / tan(radians(minutes / 60) / 2)


def seen_on(page: Page) -> list[dict[str, Any]]:
    return [page.evaluate(SEEN, index) for index in EIGHT]


@pytest.mark.parametrize("name", SCREENS)
def test_four_bars_fill_the_screen_and_are_large_enough_to_read(
    open_page: Opener, demo_page: Path, name: str, record_testsuite_property: Measured
) -> None:
    screen = SCREENS[name]
    seen = seen_on(open_page(demo_page, width=screen.width, height=screen.height))
    for each in seen:
        assert each["bars"] >= BARS, each
        assert each["space"] >= screen.least_space, each
        assert each["wide"] > 0.85 or each["high"] > 0.7, f"there is room to be larger: {each}"
        assert each["grown"] == pytest.approx(1, abs=0.01), "nothing jumps when playing starts"
    letter = screen.millimetres(min(each["letter"] for each in seen))
    minutes = minutes_of_arc(letter, metres=screen.metres)
    told = {
        "staff_space_px": [
            round(min(each["space"] for each in seen), 1),
            round(max(each["space"] for each in seen), 1),
        ],
        "smallest_letter_mm": round(letter, 2),
        f"minutes_of_arc_at_{screen.metres}_m": round(minutes, 1),
        "at_ease_to_m": round(metres_at(letter, minutes=AT_EASE_MINUTES), 2),
    }
    record_testsuite_property(f"reading_{name}", told)
    assert minutes >= SNELLEN_MINUTES
    assert round(metres_at(letter, minutes=AT_EASE_MINUTES), 1) >= screen.at_ease_metres


def test_how_far_off_it_is_read_is_told() -> None:
    told = " ".join((Path(__file__).resolve().parents[2] / "README.md").read_text("utf-8").split())
    tablet, desktop = SCREENS["tablet"], SCREENS["desktop"]
    near = f"on a tablet they are read at ease up to about {tablet.at_ease_metres} m away"
    far = f"on a {desktop.inches}-inch screen up to {desktop.at_ease_metres} m, and with good eyes at two"
    assert f"{near}, {far}" in told
    assert tablet.metres == desktop.metres == 2


def test_the_angle_of_a_letter_is_that_of_the_charts() -> None:
    """A letter of 20/20 is 8.86 mm high at 20 feet (6.10 m); both ways give the same."""
    assert minutes_of_arc(8.86, metres=6.096) == pytest.approx(5, abs=0.01)
    assert metres_at(8.86, minutes=5) == pytest.approx(6.096, abs=0.01)


def test_lines_leave_room_for_the_counts_where_they_are_shown(open_page: Opener, demo_page: Path) -> None:
    page = open_page(demo_page, width=1024, height=768)
    page.keyboard.press("n")
    for each in seen_on(page):
        assert each["bars"] >= BARS, each


def test_bars_are_in_sight_beside_the_practice_lines_while_playing(open_page: Opener, demo_page: Path) -> None:
    page = open_page(demo_page, width=1280, height=800)
    page.keyboard.press("p")
    for each in seen_on(page):
        assert each["lines"] >= 2, each


def contrast(page: Page, ink: str, paper: str) -> float:
    """The contrast of two colours of the page: WCAG 2.2, contrast ratio."""
    colours = page.evaluate(
        "names => names.map((name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim())",
        [ink, paper],
    )
    light, dark = sorted((luminance(each) for each in colours), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    """The relative luminance of a colour as #rrggbb or #rgb: WCAG 2.2."""
    figures = colour.removeprefix("#")
    pairs = [2 * each for each in figures] if len(figures) == 3 else [figures[at : at + 2] for at in (0, 2, 4)]
    shares = [int(pair, 16) / 255 for pair in pairs]
    red, green, blue = (share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_greyed_notes_can_be_read_and_are_told_from_the_others(
    open_page: Opener, millrace_page: Path, scheme: str
) -> None:
    """Three to one at least for what is drawn (WCAG 2.2, 1.4.11), and twice that for the notes that sound."""
    page = open_page(millrace_page, color_scheme=scheme)
    assert 3 <= contrast(page, "--grey", "--paper") <= contrast(page, "--ink", "--paper") / 2
    assert contrast(page, "--dark", "--paper") > 1.7 * contrast(page, "--ink", "--paper")
