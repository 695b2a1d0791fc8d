"""What the controls of the audition page do, its keys, its pedal, and how large and where they are."""

from pathlib import Path
from typing import Any

import pytest
from page_room import Opener
from playwright.sync_api import Locator, Page, expect

from drumgen.audition import render_page
from drumgen.phrase import Phrase
from drumgen.practice import Practice

WAYS = ("mouse", "keyboard", "touch")
DIGEST = """() => {
  const { page } = audition;
  const { set, habits } = page;
  const sets = { silentLimbs: [...set.silentLimbs], silentVoices: [...set.silentVoices] };
  return { ...habits, ...set, ...sets, playing: page.isPlaying, practice: !document.getElementById("practice").hidden };
}"""


def opened(open_page: Opener, path: Path, way: str = "mouse") -> Page:
    return open_page(path, has_touch=way == "touch")


def press(page: Page, control: Locator, way: str) -> None:
    """Strike a control with the mouse, with a finger, or with Enter while it has the focus."""
    control.scroll_into_view_if_needed()
    if way == "mouse":
        control.click()
    elif way == "touch":
        control.tap()
    else:
        control.focus()
        page.keyboard.press(" " if control.get_attribute("type") == "checkbox" else "Enter")


def state(page: Page) -> dict[str, Any]:
    found: dict[str, Any] = page.evaluate(DIGEST)
    return found


def changed(page: Page, before: dict[str, Any]) -> dict[str, Any]:
    """What is otherwise than before, once anything is."""
    page.wait_for_function(f"before => JSON.stringify(({DIGEST})()) !== JSON.stringify(before)", arg=before)
    return {key: value for key, value in state(page).items() if value != before[key]}


def act(page: Page, name: str) -> Locator:
    return page.locator(f'[data-act="{name}"]')


@pytest.mark.parametrize("way", WAYS)
def test_start_and_stop(open_page: Opener, millrace_page: Path, way: str) -> None:
    page = opened(open_page, millrace_page, way)
    start = page.locator("#start")
    press(page, start, way)
    expect(start).to_have_text("Stop")
    page.wait_for_function("() => audition.page.isPlaying")
    expect(page.locator("#said")).to_contain_text("Playing Millrace, bars 1 to 8, quarter 94")
    press(page, start, way)
    expect(start).to_have_text("Start")
    assert not state(page)["playing"]
    expect(page.locator("#said")).to_have_text("Stopped")


def test_taps_give_the_tempo_they_are_in(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    page.evaluate("""() => {
      let now = 1000;
      performance.now = () => (now += 500);
      for (let tap = 0; tap < 5; tap += 1) audition.page.controls.tap();
    }""")
    assert state(page)["tempo"] == 120


def test_a_blank_filled_with_nonsense_keeps_what_it_had(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    page.evaluate("audition.page.controls.openPractice(true)")
    before = state(page)
    for name, typed in (("tempo", "fast"), ("countIn", ""), ("first", "one"), ("late", "1e999")):
        page.locator(f"#{name}").fill(typed)
        page.keyboard.press("Enter")
    assert state(page) == before
    page.locator("#tempo").fill("5000")
    page.keyboard.press("Enter")
    assert state(page)["tempo"] == 400
    assert page.locator("#tempo").input_value() == "400"


def test_climbing_is_switched_on_and_off(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    page.evaluate("audition.page.controls.openPractice(true)")
    page.locator("#ladder").click()
    assert state(page)["ladder"] == {"times": 4, "from": 94, "by": 5, "to": 124}
    expect(page.locator("#tempo-now")).to_have_text("climbing, 94")
    page.locator("#ladder").click()
    assert state(page)["ladder"] is None
    expect(page.locator("#tempo-now")).to_have_text("")


@pytest.mark.parametrize("name", ["drums", "click-level"])
def test_a_level_is_the_loudness_of_what_it_is_for_and_of_nothing_else(
    open_page: Opener, millrace_page: Path, name: str
) -> None:
    page = opened(open_page, millrace_page)
    page.evaluate("audition.page.controls.openPractice(true)")
    page.locator("#start").click()
    page.wait_for_function("() => audition.page.isPlaying")
    page.locator(f"#{name}").focus()
    page.keyboard.press("Home")
    drums, click = page.evaluate(
        "[audition.page.sounding.drums.gain.value, audition.page.sounding.click.gain.value].map((gain) => gain > 0)"
    )
    assert (drums, click) == (name != "drums", name != "click-level")


@pytest.mark.parametrize("way", WAYS)
def test_bars_are_chosen_on_the_staff(open_page: Opener, millrace_page: Path, way: str) -> None:
    page = opened(open_page, millrace_page, way)
    bars = page.locator(".edition:not([hidden]) .measure" + (" .ground" if way == "keyboard" else ""))
    grounds = page.locator(".edition:not([hidden]) .ground")

    def chosen() -> tuple[int, int]:
        now = state(page)
        return now["first"], now["last"]

    press(page, bars.nth(1), way)
    assert chosen() == (4, 4)
    press(page, bars.nth(2), way)
    assert chosen() == (4, 5)
    expect(grounds.nth(0)).to_have_attribute("aria-pressed", "false")
    expect(grounds.nth(1)).to_have_attribute("aria-pressed", "true")
    press(page, bars.nth(0), way)
    assert chosen() == (1, 5)
    press(page, bars.nth(0), way)
    assert chosen() == (1, 3)
    press(page, bars.nth(0), way)
    assert chosen() == (1, 8)
    assert page.locator("#bars-now").text_content() == ""


@pytest.mark.parametrize("way", WAYS)
def test_limbs_and_voices_are_silenced_by_words_and_their_notes_greyed(
    open_page: Opener, millrace_page: Path, way: str
) -> None:
    page = opened(open_page, millrace_page, way)
    page.evaluate("audition.page.controls.openPractice(true)")
    notes = page.locator(".edition.long .note").count()
    kicks = page.locator('.edition.long .note[data-limb="K"]').count()
    press(page, page.get_by_role("button", name="Silence the kick foot"), way)
    assert state(page)["silentLimbs"] == ["K"]
    assert page.locator(".edition.long .note.silenced").count() == kicks > 0
    press(page, page.get_by_role("button", name="Silence the hi-hat", exact=True), way)
    assert state(page)["silentVoices"] == ["hihat"]
    assert page.locator(".edition.long .note").count() == notes
    assert page.locator('.edition.long .note.silenced[data-voice="hihat"]').count() > 0
    press(page, page.get_by_role("button", name="Silence the kick foot"), way)
    assert state(page)["silentLimbs"] == []


KEYS: dict[str, dict[str, Any]] = {
    "f": {"tempo": 99},
    "s": {"tempo": 89},
    "h": {"half": True},
    "c": {"click": "beats"},
    "m": {"countIn": 1},
    "g": {"ladder": {"times": 4, "from": 94, "by": 5, "to": 124}},
    "1": {"silentLimbs": ["R"]},
    "2": {"silentLimbs": ["L"]},
    "3": {"silentLimbs": ["K"]},
    "4": {"silentLimbs": ["H"]},
    "k": {"sticking": False},
    "n": {"counts": True},
    "l": {"lefty": True},
    "p": {"practice": True},
    " ": {"playing": True},
    "Enter": {"playing": True},
    "PageDown": {"playing": True},
    "ArrowDown": {"playing": True},
    "PageUp": {"playing": True},
    "ArrowUp": {"playing": True},
}


@pytest.mark.parametrize("key", KEYS)
def test_every_key_does_what_is_listed(open_page: Opener, millrace_page: Path, key: str) -> None:
    page = opened(open_page, millrace_page)
    before = state(page)
    page.keyboard.press(key)
    assert changed(page, before) == KEYS[key]


def test_letters_are_no_keys_where_they_are_switched_off(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    page.evaluate("audition.page.controls.changeHabit('letters', false)")
    before = state(page)
    for key in "fshcmgklnp1234":
        page.keyboard.press(key)
    assert state(page) == before
    page.keyboard.press("PageDown")
    assert changed(page, before) == {"playing": True}


def test_a_pedal_starts_stops_goes_back_and_turns_to_other_phrases(open_page: Opener, demo_page: Path) -> None:
    page = opened(open_page, demo_page)
    titles = page.locator("#which option").all_text_contents()
    heading = page.locator(".phrase:not(.put-away) h2")
    expect(heading).to_have_text(titles[0])
    page.keyboard.press("ArrowRight")
    expect(heading).to_have_text(titles[1])
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    expect(heading).to_have_text(titles[-1])
    page.keyboard.press("PageDown")
    page.wait_for_function("() => audition.page.isPlaying")
    page.wait_for_timeout(1500)
    page.evaluate("globalThis.before = audition.page.playing")
    page.keyboard.press("PageUp")
    page.wait_for_function("() => audition.page.playing && audition.page.playing !== before")
    assert page.evaluate("audition.page.playing.spans[0].start") == 0
    page.keyboard.press("ArrowRight")
    page.wait_for_function("() => audition.page.isPlaying && audition.page.index === 0")
    page.keyboard.press("PageDown")
    assert not state(page)["playing"]


def test_a_tempo_is_typed_over_the_old_one_after_one_key_or_one_touch_also_while_playing(
    open_page: Opener, millrace_page: Path
) -> None:
    page = opened(open_page, millrace_page, "touch")
    page.keyboard.press("e")
    page.keyboard.type("120")
    page.keyboard.press("Enter")
    assert state(page)["tempo"] == 120
    page.keyboard.press("Space")
    page.wait_for_function("() => audition.page.isPlaying")
    page.locator("#tempo").tap()
    page.keyboard.insert_text("63")
    page.keyboard.press("Enter")
    page.keyboard.press("h")
    assert state(page)["tempo"] == 63
    assert state(page)["playing"]
    expect(page.locator("#tempo-now")).to_have_text("half speed, 31.5")


def test_the_practice_lines_are_opened_without_a_keyboard_on_the_screen(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page, "touch")
    act(page, "practice").tap()
    assert not page.evaluate("document.activeElement.matches('input')")
    page.keyboard.press("ArrowDown")
    page.wait_for_function("() => audition.page.isPlaying")


def test_an_open_list_keeps_its_keys_and_escape_closes_it_alone(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    page.keyboard.press("p")
    page.locator("#click").focus()
    for key in ("Enter", "ArrowDown", "Escape"):
        page.keyboard.press(key)
    now = state(page)
    assert (now["click"], now["playing"], now["practice"]) == ("", False, True)
    page.keyboard.press("Escape")
    assert not state(page)["practice"]


def test_space_starts_again_after_a_word_was_struck_with_the_mouse(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    act(page, "faster").click()
    page.keyboard.press("Space")
    page.wait_for_function("() => audition.page.isPlaying")
    assert state(page)["tempo"] == 99


def test_the_tempo_reached_is_remembered_on_this_device(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    act(page, "faster").click()
    act(page, "faster").click()
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    assert state(page)["tempo"] == 104
    expect(page.locator("#tempo-now")).to_have_text("written 94")


def test_hands_are_exchanged_under_the_notes_and_in_the_silence(open_page: Opener, millrace_page: Path) -> None:
    page = opened(open_page, millrace_page)
    letters = page.locator(".edition.long .letter")
    before = letters.all_text_contents()
    swap = str.maketrans("RLrl", "LRlr")
    page.keyboard.press("l")
    assert letters.all_text_contents() == [each.translate(swap) for each in before]
    page.keyboard.press("2")
    silenced = page.locator(".edition.long .note.silenced")
    assert {each.get_attribute("data-voice") for each in silenced.all()} >= {"hihat", "hihat-open"}
    page.keyboard.press("l")
    assert letters.all_text_contents() == before


def test_controls_that_sticks_hit_are_large(open_page: Opener, millrace_page: Path) -> None:
    for width, height in ((390, 844), (820, 1180), (1440, 900)):
        page = open_page(millrace_page, width=width, height=height)
        start = page.locator("#start").bounding_box()
        assert start is not None
        assert start["width"] > width * 0.38
        assert start["height"] > 80
        for button in page.locator("#reach button").all():
            box = button.bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= 44
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_on_a_phone_lying_on_its_side_two_lines_and_every_control_are_in_sight(
    open_page: Opener, millrace_page: Path
) -> None:
    page = open_page(millrace_page, width=640, height=360, has_touch=True)
    page.locator("#start").tap()
    page.wait_for_function("() => audition.page.staff.markLine")
    music = page.locator("#music").bounding_box()
    assert music is not None
    assert music["height"] > 0.5 * 360
    strips = [strip.bounding_box() for strip in page.locator(".strip:visible").all()]
    assert len(strips) == 2
    for box in strips:
        assert box is not None
        assert box["y"] >= music["y"] - 1
        assert box["y"] + box["height"] <= music["y"] + music["height"] + 1
    for button in page.locator("#reach button").all():
        box = button.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 360
        assert min(box["width"], box["height"]) >= 44
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.locator("#start").tap()
    page.locator('[data-act="practice"]').tap()
    blank = page.locator("#rest")
    blank.scroll_into_view_if_needed()
    blank.fill("2")
    page.keyboard.press("Enter")
    assert state(page)["rest"] == 2


def test_counts_of_rests_are_grey_with_the_bar_they_are_under(open_page: Opener, demo_page: Path) -> None:
    page = open_page(demo_page)
    page.keyboard.press("n")
    counts = page.locator(".phrase:not(.put-away) .edition:not([hidden]) .left-out .count")
    assert sorted(counts.all_text_contents()) == ["1", "3", "5"], "the landing is not played round and round"
    assert len({each.evaluate("text => getComputedStyle(text).fill") for each in counts.all()}) == 1
    assert page.locator(".phrase:not(.put-away) .edition:not([hidden]) .count").count() > 3


def test_some_bars_of_a_range_are_told_and_a_struck_bar_is_alone(
    open_page: Opener, millrace: Phrase, tmp_path: Path
) -> None:
    path = tmp_path / "fills.html"
    path.write_text(render_page(millrace, practice=[Practice(only="fill")]).text, "utf-8")
    page = opened(open_page, path)
    expect(page.locator("#bars-now")).to_have_text("bars 4 and 8")
    expect(page.locator("#picked")).to_have_text(" (of them only bars 4 and 8)")
    grounds = page.locator(".edition:not([hidden]) .ground")
    pressed = [each.get_attribute("aria-pressed") == "true" for each in grounds.all()]
    numbers = page.evaluate("audition.page.staff.measures.map(({ bars }) => bars)")
    assert pressed == [bool({4, 8} & {*bars}) for bars in numbers]
    page.locator(".edition:not([hidden]) .measure").nth(0).click()
    assert [state(page)[key] for key in ("first", "last", "numbers")] == [1, 8, None]
    expect(page.locator("#picked")).to_have_text("")
