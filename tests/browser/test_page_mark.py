"""The mark and the dark notes, in real time, against what the page's clock says is heard."""

from itertools import pairwise
from math import inf
from pathlib import Path
from typing import Any

import pytest
from page_room import Opener
from playwright.sync_api import Page, expect

# Plays for some seconds, and notes at every drawing of the page what it took for heard, what is dark and where the mark
# stands. The spy is there before the first stroke is handed on, and looks at once when the page has drawn: however busy
# the machine is, what is seen belongs to that time and to no other.
WATCH = """async ({ seconds, values }) => {
  const { page } = audition;
  const sounds = [];
  const draws = [];
  const begin = page.begin.bind(page);
  page.begin = (countIn) => {
    begin(countIn);
    const { strike } = page.playing;
    page.playing.strike = (sound, time) => {
      sounds.push({ time, bar: sound.span.number, place: sound.place, kind: sound.kind });
      strike(sound, time);
    };
  };
  let now = null;
  const heard = page.heard.bind(page);
  page.heard = () => (now = heard());
  const draw = page.showing.draw.bind(page.showing);
  page.showing.draw = () => {
    draw();
    const dark = page.staff.measures.flatMap(({ bars, notes }) => notes
      .filter(({ note }) => note.classList.contains("struck"))
      .map(({ place }) => ({ bars, place })));
    const marks = [...document.querySelectorAll(".mark:not([hidden])")].map((mark) => ({
      x: Number(mark.getAttribute("transform").match(/[-\\d.]+/)[0]),
      bars: page.staff.measures.filter(({ line }) => line.mark === mark).flatMap(({ bars }) => bars),
    }));
    draws.push({ now, dark, marks });
  };
  Object.assign(page.set, values);
  await page.start();
  await new Promise((then) => setTimeout(then, seconds * 1000));
  const written = (notes) => notes.map(({ place, x }) => [place, x]);
  const measures = page.staff.measures.map(({ bars, right, notes }) => ({ bars, right, notes: written(notes) }));
  return { sounds, draws, measures };
}"""

LIT_S = 0.12
"""How long a note is dark."""


def watched(page: Page, *, seconds: float, **values: Any) -> Any:  # noqa: ANN401 - as JSON has it
    return page.evaluate(WATCH, {"seconds": seconds, "values": values})


@pytest.mark.parametrize("width", [1280, 600])
def test_notes_are_dark_as_they_are_heard_and_the_mark_is_on_them(
    open_page: Opener, millrace_page: Path, width: int
) -> None:
    page = open_page(millrace_page, width=width)
    found = watched(page, seconds=4, tempo=60, first=3, last=4)
    strokes = sorted((each for each in found["sounds"] if each["kind"] == "stroke"), key=lambda each: each["time"])
    assert len(strokes) > 15
    assert len(found["draws"]) > 15
    measure_of = {bar: each for each in found["measures"] for bar in each["bars"]}
    ever: set[tuple[int, int]] = set()
    for before, drawn in pairwise(({"now": -inf}, *found["draws"])):
        now = drawn["now"]
        heard = [each for each in strokes if each["time"] <= now]
        due = {
            (measure_of[each["bar"]]["bars"][0], each["place"])
            for each in heard
            if each["time"] + LIT_S > now or each["time"] > before["now"]
        }
        assert {(each["bars"][0], each["place"]) for each in drawn["dark"]} == due, f"dark at {now}"
        ever |= due
        if heard:
            (mark,) = drawn["marks"]
            assert heard[-1]["bar"] in mark["bars"]
            assert mark["x"] == pytest.approx(mark_x(heard[-1], now, measure_of[heard[-1]["bar"]]), abs=MARK_OFF)
    assert len(ever) > 10


MARK_OFF = 12
"""Units of the staff, whose spaces are 180 high: a fifteenth of a space."""
GRAINS_A_SECOND = 10_080
"""Of a quarter note at 60."""


def mark_x(stroke: dict[str, Any], now: float, measure: dict[str, Any]) -> float:
    """Where the mark is after a stroke: as far on the way to the next written place as time has gone there."""
    written = dict(map(tuple, measure["notes"]))
    following = min((place for place in written if place > stroke["place"]), default=4 * GRAINS_A_SECOND)
    gone = (now - stroke["time"]) * GRAINS_A_SECOND / (following - stroke["place"])
    there = written.get(following, measure["right"])
    return float(written[stroke["place"]] + (there - written[stroke["place"]]) * gone)


def test_an_offset_moves_what_is_seen_and_not_what_is_heard(open_page: Opener, millrace_page: Path) -> None:
    page = open_page(millrace_page)
    page.evaluate("audition.page.habits.late = 250")
    found = watched(page, seconds=2, tempo=60)
    context_time = page.evaluate("audition.page.sounding.context.currentTime - audition.page.heard()")
    assert 0.25 <= context_time < 0.6
    assert any(frame["dark"] for frame in found["draws"])


def test_silenced_notes_are_not_darkened(open_page: Opener, millrace_page: Path) -> None:
    page = open_page(millrace_page)
    page.keyboard.press("1")
    found = watched(page, seconds=2.5, tempo=60)
    dark = [each for frame in found["draws"] for each in frame["dark"]]
    assert dark
    hats = page.evaluate(
        "audition.page.staff.measures[0].notes.filter(({limb}) => limb === 'R').map(({place}) => place)"
    )
    others = page.evaluate(
        "audition.page.staff.measures[0].notes.filter(({limb}) => limb !== 'R').map(({place}) => place)"
    )
    assert not {each["place"] for each in dark} & (set(hats) - set(others))


def test_lines_turn_before_they_are_read_and_nothing_else_moves(open_page: Opener, millrace_page: Path) -> None:
    """Six bars, one to a line, in a window that holds two: the line that is read never moves."""
    page = open_page(millrace_page, width=600, height=780)
    lines = page.evaluate("""async () => {
      const { page } = audition;
      page.setTempo(400);
      await page.start();
      const seen = [];
      const started = performance.now();
      while (performance.now() - started < 6500) {
        await new Promise(requestAnimationFrame);
        const { staff } = page;
        if (!staff.markLine) continue;
        const shown = staff.shown.lines.filter(({ strip }) => strip.offsetParent !== null);
        const topOf = ({ strip }) => Math.round(strip.getBoundingClientRect().top);
        const tops = shown.map((line) => [staff.shown.lines.indexOf(line), topOf(line)]);
        const room = document.getElementById("music").getBoundingClientRect();
        const whole = shown.every(({ strip }) => strip.getBoundingClientRect().bottom <= room.bottom + 1);
        seen.push({ read: staff.shown.lines.indexOf(staff.markLine), tops, whole });
      }
      return seen;
    }""")
    assert len({each["read"] for each in lines}) >= 5, "it went through the phrase"
    for before, after in pairwise(lines):
        assert after["whole"]
        there = dict(map(tuple, after["tops"]))
        assert after["read"] in there
        for line, top in before["tops"]:
            assert there.get(line, top) == top, "a line that stays keeps its place"
        if after["read"] != before["read"] and before["read"] < after["read"]:
            assert after["read"] in dict(map(tuple, before["tops"])), "the next line was there before it was read"


def test_what_is_played_is_told(open_page: Opener, demo_page: Path) -> None:
    page = open_page(demo_page)
    said = page.locator("#said")
    assert said.get_attribute("role") == "status"
    page.evaluate("audition.page.setTempo(400)")
    page.keyboard.press("Space")
    expect(said).to_contain_text("Playing Crooked steps")
    expect(said).to_have_text("landing-stage, fill", timeout=10_000)
    page.keyboard.press("Space")
    expect(said).to_have_text("Stopped")


def test_the_first_of_the_bar_flashes_where_it_is_asked_to(open_page: Opener, millrace_page: Path) -> None:
    page = open_page(millrace_page)
    page.evaluate("audition.page.changeHabit = 0; audition.page.controls.changeHabit('flash', true)")
    page.keyboard.press("Space")
    page.wait_for_selector("body.flash", timeout=4000)


def test_the_screen_is_kept_awake_while_playing(open_page: Opener, millrace_page: Path) -> None:
    page = open_page(millrace_page)
    page.evaluate("""() => {
      globalThis.locks = [];
      const lock = () => ({ released: false, addEventListener() {}, async release() { this.released = true; } });
      const request = async () => { const one = lock(); locks.push(one); return one; };
      Object.defineProperty(navigator, "wakeLock", { value: { request }, configurable: true });
    }""")
    page.keyboard.press("Space")
    page.wait_for_function("() => locks.length === 1 && !locks[0].released")
    page.keyboard.press("Space")
    page.wait_for_function("() => locks[0].released")
