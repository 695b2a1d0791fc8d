"""The mark and the dark notes, in real time, against what the page's clock says is heard."""

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from page_room import Opener
from playwright.sync_api import Page, expect

# Plays for some seconds, and at every frame notes what is heard, what is dark and where the mark stands.
WATCH = """async ({ seconds, values }) => {
  const { page } = audition;
  Object.assign(page.set, values);
  await page.start();
  const sounds = [];
  const strike = page.playing.strike;
  page.playing.strike = (sound, time) => {
    sounds.push({ time, bar: sound.span.number, place: sound.place, kind: sound.kind });
    strike(sound, time);
  };
  const frames = [];
  const started = performance.now();
  while (performance.now() - started < seconds * 1000) {
    await new Promise(requestAnimationFrame);
    const now = page.heard();
    const dark = page.staff.measures.flatMap((measure) => measure.notes
      .filter(({ note }) => note.classList.contains("struck"))
      .map(({ place, x }) => ({ bars: measure.bars, place, x })));
    const marks = [...document.querySelectorAll(".mark:not([hidden])")].map((mark) => ({
      x: Number(mark.getAttribute("transform").match(/[-\\d.]+/)[0]),
      bars: page.staff.measures.filter(({ line }) => line.mark === mark).flatMap(({ bars }) => bars),
    }));
    frames.push({ now, dark, marks });
  }
  const written = (notes) => notes.map(({ place, x }) => [place, x]);
  const measures = page.staff.measures.map(({ bars, notes }) => ({ bars, notes: written(notes) }));
  return { sounds, frames, measures };
}"""

FRAME_S = 0.06
"""A frame of a busy machine, and the half that is rounded."""


def watched(page: Page, *, seconds: float, **values: Any) -> Any:  # noqa: ANN401 - as JSON has it
    return page.evaluate(WATCH, {"seconds": seconds, "values": values})


@pytest.mark.parametrize("width", [1280])
def test_notes_are_dark_as_they_are_heard_and_the_mark_is_on_them(
    open_page: Opener, millrace_page: Path, width: int
) -> None:
    page = open_page(millrace_page, width=width)
    found = watched(page, seconds=4, tempo=60, first=3, last=4)
    strokes = [each for each in found["sounds"] if each["kind"] == "stroke"]
    assert len(strokes) > 15
    seen = 0
    frames = found["frames"]
    for before, frame in zip(frames, frames[3:], strict=False):
        now = frame["now"]
        if now - before["now"] > 3 * FRAME_S / 2:  # the machine was busy: what is drawn is older than this frame
            continue
        clear = [each for each in strokes if now - 0.11 < each["time"] < now - FRAME_S]
        for stroke in clear:
            dark = [
                each for each in frame["dark"] if each["place"] == stroke["place"] and stroke["bar"] in each["bars"]
            ]
            assert dark, f"{stroke} is not dark at {now}"
            (mark,) = frame["marks"]
            assert stroke["bar"] in mark["bars"]
            # a sixteenth at 60 takes a quarter of a second: the mark has gone less than half the way to the next
            notes = next(each["notes"] for each in found["measures"] if stroke["bar"] in each["bars"])
            ahead = min((x for place, x in notes if place > stroke["place"]), default=dark[0]["x"] + 1200)
            assert dark[0]["x"] - 60 <= mark["x"] <= dark[0]["x"] + 0.6 * (ahead - dark[0]["x"]) + 60
            seen += 1
        for each in frame["dark"]:
            known = [s for s in strokes if s["place"] == each["place"] and s["bar"] in each["bars"]]
            assert any(now - 0.12 - FRAME_S * 2 < s["time"] <= now + 0.01 for s in known), f"{each} is dark at {now}"
    assert seen > 15


def test_an_offset_moves_what_is_seen_and_not_what_is_heard(open_page: Opener, millrace_page: Path) -> None:
    page = open_page(millrace_page)
    page.evaluate("audition.page.habits.late = 250")
    found = watched(page, seconds=2, tempo=60)
    context_time = page.evaluate("audition.page.sounding.context.currentTime - audition.page.heard()")
    assert 0.25 <= context_time < 0.6
    assert any(frame["dark"] for frame in found["frames"])


def test_silenced_notes_are_not_darkened(open_page: Opener, millrace_page: Path) -> None:
    page = open_page(millrace_page)
    page.keyboard.press("1")
    found = watched(page, seconds=2.5, tempo=60)
    dark = [each for frame in found["frames"] for each in frame["dark"]]
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
