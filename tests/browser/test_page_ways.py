"""Every control of the audition page by mouse alone, by keyboard alone and by touch alone: a row for each."""

from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from page_room import Opener
from playwright.sync_api import Locator, Page

from drumgen.audition import render_page
from drumgen.phrase import Phrase

WAYS = ("mouse", "keyboard", "touch")
LONG_NOTE = "\n".join(f"Line {number} of a note that takes up room." for number in range(1, 13))

CONTROLS_OF_THE_PAGE = """() => {
  const places = { "#limbs": "a limb", "#voices": "a voice", "#front li": "a phrase of the list", ".notes": "notes" };
  const nameOf = (control) => {
    const place = Object.keys(places).find((each) => control.closest(each));
    if (place) return places[place];
    if (control.matches(".ground")) return "a bar";
    const { act, habit } = control.dataset;
    return control.id || act || (habit && `show ${habit}`) || control.outerHTML;
  };
  const kinds = "button, select, input, textarea, a, summary, [tabindex='0'], [role=button], [contenteditable]";
  return [...new Set([...document.querySelectorAll(kinds)].map(nameOf))].sort();
}"""

DIGEST = """() => {
  const { page } = audition;
  const [set] = page.settings;
  const habits = Object.fromEntries(Object.entries(page.habits).map(([name, value]) => [`habit ${name}`, value]));
  const sets = { silentLimbs: [...set.silentLimbs], silentVoices: [...set.silentVoices] };
  const now = { playing: page.isPlaying, index: page.index, front: page.front.isOpen };
  const shown = (selector) => [...document.querySelectorAll(selector)].filter((each) => each.offsetParent).length;
  return { ...habits, ...set, ...sets, ...now, practice: shown("#practice"), notes: shown(".leaf") };
}"""

RUNGS = {"times": 4, "from": 94, "by": 5, "to": 124}
STEP_FRAME_S = 0.4
"""Between two taps: 150 a minute, or less by what a tap takes."""


class Control(NamedTuple):
    """One control: where it is, how it is used, with what value, what that changes, and what is used before it."""

    find: str
    use: str
    changes: dict[str, Any]
    value: str = ""
    before: tuple[str, ...] = ()


def pressed(find: str, changes: dict[str, Any], *before: str) -> Control:
    return Control(find, "press", changes, before=before)


def filled(name: str, value: str, changes: dict[str, Any]) -> Control:
    return Control(f"#{name}", "fill", changes, value, ("practice",))


def chosen(name: str, value: str, changes: dict[str, Any]) -> Control:
    return Control(f"#{name}", "choose", changes, value, ("practice",))


CONTROLS: dict[str, Control] = {
    "start": pressed("#start", {"playing": True}),
    "slower": pressed('[data-act="slower"]', {"tempo": 89}),
    "faster": pressed('[data-act="faster"]', {"tempo": 99}),
    "half": pressed('[data-act="half"]', {"half": True}),
    "tap": Control('[data-act="tap"]', "tap", {"tempo": None}),
    "top": pressed('[data-act="top"]', {"playing": True}),
    "practice": pressed('[data-act="practice"]', {"practice": 1}),
    "front": pressed('[data-act="front"]', {"front": True}),
    "a phrase of the list": pressed('[data-phrase="1"]', {"index": 1, "front": False}, "front"),
    "notes": pressed(".phrase:not(.put-away) .unfold", {"notes": 1}),
    "a bar": pressed(".phrase:not(.put-away) .edition:not([hidden]) .measure >> nth=1", {"first": 4, "last": 4}),
    "all": pressed('[data-act="all"]', {"first": 1, "last": 8}, "a bar", "practice"),
    "a limb": pressed("#limbs button >> nth=2", {"silentLimbs": ["K"]}, "practice"),
    "a voice": pressed("#voices button >> nth=0", {"silentVoices": ["hihat"]}, "practice"),
    "ladder": pressed("#ladder", {"ladder": RUNGS}, "practice"),
    "which": Control("#which", "choose", {"index": 1}, "1"),
    "click": chosen("click", "2 and 4", {"click": "2 and 4"}),
    "clickSide": chosen("clickSide", "left", {"clickSide": "left"}),
    "times": chosen("times", "4", {"times": 4}),
    "paper": chosen("paper", "black", {"habit paper": "black"}),
    "drums": Control("#drums", "slide", {"habit drums": 60}, "60", ("practice",)),
    "click-level": Control("#click-level", "slide", {"habit click": 50}, "50", ("practice",)),
    "tempo": Control("#tempo", "fill", {"tempo": 121.5}, "121.5"),
    "countIn": filled("countIn", "2", {"countIn": 2}),
    "gapOn": filled("gapOn", "3", {"gapOn": 3}),
    "gapOff": filled("gapOff", "2", {"gapOff": 2}),
    "first": filled("first", "2", {"first": 2}),
    "last": filled("last", "7", {"last": 7}),
    "rest": filled("rest", "1", {"rest": 1}),
    "restAfter": filled("restAfter", "10", {"restAfter": 10}),
    "answer": filled("answer", "4", {"answer": 4}),
    "late": filled("late", "120", {"habit late": 120}),
    "ladder-times": filled("ladder-times", "3", {"rungs": RUNGS | {"times": 3}}),
    "ladder-from": filled("ladder-from", "60", {"rungs": RUNGS | {"from": 60}}),
    "ladder-by": filled("ladder-by", "10", {"rungs": RUNGS | {"by": 10}}),
    "ladder-to": filled("ladder-to", "140", {"rungs": RUNGS | {"to": 140}}),
    **{
        f"show {name}": pressed(
            f'[data-habit="{name}"]', {f"habit {name}": name in ("counts", "lefty", "flash")}, "practice"
        )
        for name in ("sticking", "counts", "lefty", "flash", "awake", "letters")
    },
}


@pytest.fixture(scope="module")
def noted_page(demo_phrases: list[Phrase], millrace: Phrase, folder: Path) -> Path:
    """The page of two phrases with notes too long to be shown at once: all controls that a page can have."""
    other = next(each for each in demo_phrases if each.title == "Towpath")
    path = folder / "noted.html"
    phrases = [replace(phrase, note=LONG_NOTE) for phrase in (millrace, other)]
    path.write_text(render_page(phrases, title="Both", note=LONG_NOTE).text, "utf-8")
    return path


class Hand:
    """Uses controls in one way only."""

    def __init__(self, page: Page, way: str) -> None:
        self.page, self.way = page, way

    def use(self, name: str) -> None:
        control = CONTROLS[name]
        if self.way == "keyboard":
            self._tab_to(control)
        else:
            self.page.locator(control.find).scroll_into_view_if_needed()
        uses = {
            "press": self._press,
            "tap": self._tap,
            "fill": self._fill,
            "choose": self._choose,
            "slide": self._slide,
        }
        uses[control.use](control)

    def _point(self, locator: Locator) -> None:
        (locator.tap if self.way == "touch" else locator.click)()

    def _tab_to(self, control: Control) -> None:
        """Press Tab until the control, or what in it can be, has the focus."""
        wanted = self.page.locator(control.find).element_handle()
        for _ in range(200):
            self.page.keyboard.press("Tab")
            if wanted.evaluate("control => control.contains(document.activeElement)"):
                return
        pytest.fail(f"{control.find} cannot be reached by Tab")

    def _press(self, control: Control) -> None:
        locator = self.page.locator(control.find)
        if self.way != "keyboard":
            self._point(locator)
        else:
            self.page.keyboard.press("Space" if locator.get_attribute("type") == "checkbox" else "Enter")

    def _tap(self, control: Control) -> None:
        for _ in range(3):
            self._press(control)
            self.page.wait_for_timeout(STEP_FRAME_S * 1000)

    def _fill(self, control: Control) -> None:
        """The first figure typed takes the place of what stood there; what is typed holds once the blank is left."""
        if self.way == "keyboard":
            self.page.keyboard.type(control.value)
            self.page.keyboard.press("Enter")
        else:
            self._point(self.page.locator(control.find))
            self.page.keyboard.insert_text(control.value)
            self._point(self.page.locator("#top h1"))

    def _choose(self, control: Control) -> None:
        options = self.page.locator(f"{control.find} option")
        values = [option.get_attribute("value") for option in options.all()]
        wanted = values.index(control.value)
        if self.way != "keyboard":
            self._point(self.page.locator(control.find))
            self._point(options.nth(wanted))
            return
        self.page.keyboard.press("Enter")
        for _ in range(wanted):
            self.page.keyboard.press("ArrowDown")
        self.page.keyboard.press("Enter")

    def _slide(self, control: Control) -> None:
        """Drag the thumb with the finger or the mouse, or step it with the arrow keys."""
        level = self.page.locator(control.find)
        step = 5
        change = int(control.value) - int(level.input_value())
        if self.way == "keyboard":
            for _ in range(abs(change) // step):
                self.page.keyboard.press("ArrowLeft" if change < 0 else "ArrowRight")
            return
        box = level.bounding_box()
        assert box is not None
        thumb, y = 20, box["y"] + box["height"] / 2
        span = box["width"] - thumb
        xs = [box["x"] + thumb / 2 + span * int(value) / 100 for value in (level.input_value(), control.value)]
        path = [xs[0] + (xs[1] - xs[0]) * at / 8 for at in range(9)]
        (self._drag_finger if self.way == "touch" else self._drag_mouse)(path, y)

    def _drag_mouse(self, xs: list[float], y: float) -> None:
        self.page.mouse.move(xs[0], y)
        self.page.mouse.down()
        for x in xs[1:]:
            self.page.mouse.move(x, y)
        self.page.mouse.up()

    def _drag_finger(self, xs: list[float], y: float) -> None:
        wire = self.page.context.new_cdp_session(self.page)
        for at, x in enumerate(xs):
            kind = "touchMove" if at else "touchStart"
            wire.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
        wire.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def opened(open_page: Opener, path: Path, way: str) -> Page:
    """The page with its first phrase in hand; where it is touched, a mouse would fail the test."""
    page = open_page(path, width=1024, height=768, has_touch=way == "touch")
    page.evaluate("audition.page.choose(0)")
    page.evaluate("""() => {
      globalThis.pointed = new Set();
      addEventListener("pointerdown", ({ pointerType }) => pointed.add(pointerType), true);
    }""")
    return page


def test_every_control_of_the_page_has_its_row(open_page: Opener, noted_page: Path) -> None:
    page = open_page(noted_page)
    assert page.evaluate(CONTROLS_OF_THE_PAGE) == sorted(CONTROLS)
    page.evaluate("document.getElementById('reach').append(document.createElement('button'))")
    assert set(page.evaluate(CONTROLS_OF_THE_PAGE)) - {*CONTROLS} == {"<button></button>"}, "a new one is noticed"


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", CONTROLS)
def test_every_control_does_its_work_in_every_way(open_page: Opener, noted_page: Path, name: str, way: str) -> None:
    page = opened(open_page, noted_page, way)
    hand, control = Hand(page, way), CONTROLS[name]
    for each in control.before:
        hand.use(each)
    before: dict[str, Any] = page.evaluate(DIGEST)
    hand.use(name)
    page.wait_for_function(f"before => JSON.stringify(({DIGEST})()) !== JSON.stringify(before)", arg=before)
    now = page.evaluate(DIGEST)
    changes = {key: value for key, value in now.items() if value != before[key]}
    if control.use == "tap":
        assert changes.keys() == control.changes.keys()
        assert 80 < changes["tempo"] <= 60 / STEP_FRAME_S
    else:
        assert changes == control.changes
    pointed = page.evaluate("[...pointed]")
    assert pointed == ([] if way == "keyboard" else [way])


PRACTISING = """([practice, front]) => {
  const { page } = audition;
  page.controls.openPractice(practice);
  page.front.turn(front);
  page.refit();
}"""


def in_reach(page: Page, control: Control) -> None:
    """Bring a control in sight, and nothing else."""
    page.evaluate("audition.page.choose(0)")
    page.evaluate(PRACTISING, ["practice" in control.before, "front" in control.before])


@pytest.mark.parametrize("way", ["mouse", "touch"])
def test_a_pedal_starts_and_stops_after_whatever_was_pointed_at(open_page: Opener, noted_page: Path, way: str) -> None:
    """Nothing that a finger or the mouse has set keeps the pedal's keys to itself, be they page keys or arrows."""
    page = opened(open_page, noted_page, way)
    hand = Hand(page, way)
    for name, control in CONTROLS.items():
        if "playing" in control.changes or name == "front":
            continue
        in_reach(page, control)
        hand.use(name)
        page.wait_for_timeout(50)
        for key, playing in (("ArrowDown", True), ("PageDown", False)):
            page.keyboard.press(key)
            assert page.evaluate("Boolean(audition.page.isPlaying || audition.page.starting)") is playing, (name, key)


def test_a_pedal_starts_and_stops_from_a_blank_that_is_being_filled(open_page: Opener, noted_page: Path) -> None:
    page = opened(open_page, noted_page, "mouse")
    page.keyboard.press("e")
    page.keyboard.type("77")
    page.keyboard.press("PageDown")
    page.wait_for_function("() => audition.page.isPlaying && audition.page.set.tempo === 77")


FINGER = 44
"""Pixels: the least size of a target in WCAG 2.2, 2.5.5."""


@pytest.mark.parametrize(("width", "height"), [(390, 844), (844, 390), (1024, 768)])
def test_every_control_is_as_large_as_a_finger(open_page: Opener, noted_page: Path, width: int, height: int) -> None:
    page = open_page(noted_page, width=width, height=height)
    for name, control in CONTROLS.items():
        in_reach(page, control)
        box = page.locator(control.find).evaluate(
            "control => { const { width, height } = (control.closest('label') ?? control).getBoundingClientRect();"
            " return [width, height]; }"
        )
        assert min(box) >= FINGER, name
