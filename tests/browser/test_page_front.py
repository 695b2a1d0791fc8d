"""A page of a whole book: its front with notes and a list, and up to forty phrases to go to."""

from dataclasses import replace
from pathlib import Path

import pytest
from page_room import Opener
from playwright.sync_api import Locator, Page, expect

from drumgen.audition import render_page
from drumgen.phrase import Phrase

NOTE = "Warm up.\nTwo weeks on each <page>.\n\nRest when anything hurts."
FORTY = 40


@pytest.fixture(scope="module")
def book_page(demo_phrases: list[Phrase], folder: Path) -> Path:
    """The page of forty phrases, the demonstration's over and over, with a note over all and on each."""
    phrases = [
        replace(demo_phrases[number % len(demo_phrases)], title=f"Number {number + 1}", note="Hands.\nThen the foot.")
        for number in range(FORTY)
    ]
    path = folder / "book.html"
    path.write_text(render_page(phrases, title="A term", note=NOTE).text, "utf-8")
    return path


def heading(page: Page) -> Locator:
    return page.locator(".phrase:not(.put-away) h2")


def test_a_page_with_a_note_begins_with_it_and_the_list(open_page: Opener, book_page: Path) -> None:
    page = open_page(book_page)
    front = page.locator("#front")
    expect(front.locator("h2")).to_have_text("A term")
    assert front.locator("p").all_text_contents() == [
        "Warm up.",
        "Two weeks on each <page>.",
        "Rest when anything hurts.",
    ]
    assert front.locator("li button").count() == FORTY
    assert page.locator(".phrase:visible").count() == 0


@pytest.mark.parametrize("way", ["mouse", "keyboard", "touch"])
def test_a_phrase_of_the_list_is_opened_and_the_list_is_come_back_to(
    open_page: Opener, book_page: Path, way: str
) -> None:
    page = open_page(book_page, width=390, height=844, has_touch=True)
    rows, back = page.locator("#front li button"), page.locator('[data-act="front"]')
    if way == "keyboard":
        rows.nth(FORTY - 1).focus()
        page.keyboard.press("Enter")
    else:
        (rows.nth(FORTY - 1).tap if way == "touch" else rows.nth(FORTY - 1).click)()
    expect(heading(page)).to_have_text(f"Number {FORTY}")
    notes = page.locator(".phrase:not(.put-away) .note-line").all_text_contents()
    assert notes[:2] == ["Hands.", "Then the foot."]
    if way == "keyboard":
        page.keyboard.press("o")
    else:
        (back.tap if way == "touch" else back.click)()
    expect(page.locator("#front")).to_be_visible()
    expect(rows.nth(FORTY - 1)).to_be_focused()
    expect(page.locator("[aria-current]")).to_have_count(1)
    page.keyboard.press("o")
    expect(heading(page)).to_have_text(f"Number {FORTY}")


def test_starting_and_a_pedal_leave_the_front(open_page: Opener, book_page: Path) -> None:
    page = open_page(book_page)
    page.keyboard.press("ArrowRight")
    expect(heading(page)).to_have_text("Number 1")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("o")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("PageDown")
    page.wait_for_function("() => audition.page.isPlaying && audition.page.index === 1")
    assert page.locator(".phrase:visible").count() == 1
    assert not page.locator("#front").is_visible()
    page.keyboard.press("o")
    assert page.evaluate("audition.page.isPlaying") is False
    expect(page.locator("#front")).to_be_visible()


def test_rows_of_the_list_are_large_and_nothing_is_wider_than_the_screen(open_page: Opener, book_page: Path) -> None:
    page = open_page(book_page)
    for width, height in ((390, 844), (640, 360), (820, 1180), (1440, 900)):
        page.set_viewport_size({"width": width, "height": height})
        rows = page.locator("#front li button")
        heights = rows.evaluate_all("rows => rows.map((row) => row.getBoundingClientRect().height)")
        assert len(heights) == FORTY
        assert min(heights) >= 44
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_front_is_printed_before_the_phrases(open_page: Opener, book_page: Path, demo_page: Path) -> None:
    page = open_page(book_page)
    page.emulate_media(media="print")
    assert page.locator("#front").is_visible()
    assert page.locator("h1").is_visible()
    assert page.locator(".phrase:visible").count() == FORTY
    assert not page.locator('[data-act="front"]').is_visible()
    plain = open_page(demo_page)
    plain.emulate_media(media="print")
    assert not plain.locator("#front").is_visible()


def test_a_page_without_a_note_begins_with_its_first_phrase(open_page: Opener, demo_page: Path) -> None:
    page = open_page(demo_page)
    assert page.locator(".phrase:visible").count() == 1
    page.locator('[data-act="front"]').click()
    assert page.locator("#front li").count() == 8


def test_axe_finds_no_serious_fault_on_the_front(open_page: Opener, book_page: Path, axe: str) -> None:
    page = open_page(book_page, width=390)
    page.evaluate(axe)
    found = page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    assert not [each["id"] for each in found["violations"] if each["impact"] in ("serious", "critical")]


PHONE = {"width": 390, "height": 844}
LONG = "\n".join(f"Line {number} of what a teacher has to say about this page." for number in range(1, 13))


@pytest.fixture(scope="module")
def noted_page(demo_phrases: list[Phrase], folder: Path) -> Path:
    """The page of the demonstration's phrases with long notes over all and on each."""
    path = folder / "noted-book.html"
    phrases = [replace(phrase, note=LONG) for phrase in demo_phrases]
    path.write_text(render_page(phrases, title="A term", note=LONG).text, "utf-8")
    return path


def whole_in_sight(page: Page, find: str) -> int:
    """How many of what is found are wholly in sight over the start area."""
    found: int = page.evaluate(
        """(find) => {
          const { top, bottom } = document.getElementById("music").getBoundingClientRect();
          const boxes = [...document.querySelectorAll(find)].map((each) => each.getBoundingClientRect());
          return boxes.filter((box) => box.height && box.top >= top - 1 && box.bottom <= bottom + 1).length;
        }""",
        find,
    )
    return found


def test_on_a_phone_long_notes_are_folded_so_that_list_staff_and_start_are_in_reach(
    open_page: Opener, noted_page: Path
) -> None:
    page = open_page(noted_page, **PHONE)
    fold, leaf = page.locator("#front .unfold"), page.locator("#front .leaf")
    assert whole_in_sight(page, "#front li button") >= 5
    expect(page.locator("#start")).to_be_in_viewport(ratio=1)
    expect(leaf).to_be_hidden()
    expect(fold).to_have_attribute("aria-expanded", "false")
    fold.click()
    expect(leaf).to_be_visible()
    expect(fold).to_have_attribute("aria-expanded", "true")
    page.locator('[data-phrase="0"]').click()
    assert whole_in_sight(page, ".phrase:not(.put-away) .strip svg") >= 2
    page.locator('[data-act="front"]').click()
    expect(leaf).to_be_visible()
    page.set_viewport_size({"width": 844, "height": 390})
    fold.click()
    expect(leaf).to_be_hidden()


def test_a_short_note_is_shown_and_has_nothing_to_unfold(open_page: Opener, book_page: Path) -> None:
    page = open_page(book_page, width=1280, height=800)
    expect(page.locator("#front .leaf")).to_be_visible()
    expect(page.locator("#front .unfold")).to_be_hidden()


def test_folded_notes_are_printed(open_page: Opener, noted_page: Path) -> None:
    page = open_page(noted_page, **PHONE)
    page.emulate_media(media="print")
    assert all(leaf.is_visible() for leaf in page.locator(".leaf").all())
    assert page.locator(".leaf").count() == 9
    assert not any(fold.is_visible() for fold in page.locator(".unfold").all())
